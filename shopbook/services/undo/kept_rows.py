"""The rows of an act, kept with its key for as long as it can be undone."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import Date, Table, select
from sqlalchemy.orm import Session

from shopbook.models import Base
from shopbook.models.base import UtcMoment
from shopbook.models.recording import Recording, Row, RowChange, RowKey
from shopbook.models.shop import ActRow
from shopbook.services.shop.acts import forget_rows
from shopbook.services.undo.listed import FINAL_DEEDS
from shopbook.services.undo.places import BY_COUNTER_LINE, MUTABLE, STOCK_KINDS

UNDO_STANDS = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class TouchedRow:
    """One row of an act; of a ledger's line only the key is kept, for the line itself stays."""

    place: str
    key: RowKey
    before: Row | None
    after: Row | None

    @property
    def table(self) -> Table:
        """Where it stands."""
        return Base.metadata.tables[self.place]


def keep_rows(session: Session, key: str, recording: Recording, moment: datetime) -> bool:
    """Keep what an act changed, if all of it has a way back; answers whether the act can be undone.

    What was kept for acts that can be undone no more goes.
    """
    forget_rows(session, moment - UNDO_STANDS)
    changes = [change for change in recording.changes() if change.place not in {"act_key", "act_row"}]
    if not _has_way_back(changes):
        return False
    for change in changes:
        if change.place in BY_COUNTER_LINE:
            session.add(ActRow(act_key=key, place=change.place, row_key=_key_text(change.key), before=None, after=None))
        elif _is_different(change):
            session.add(
                ActRow(
                    act_key=key,
                    place=change.place,
                    row_key=_key_text(change.key),
                    before=_plain_row(change.before),
                    after=_plain_row(change.after),
                )
            )
    return True


def read_rows(session: Session, key: str) -> list[TouchedRow]:
    """The rows of one act, tables in the order of their references."""
    rows = session.scalars(select(ActRow).where(ActRow.act_key == key).order_by(ActRow.id))
    return [_kept(row) for row in rows]


def _has_way_back(changes: Sequence[RowChange]) -> bool:
    """Whether each table has a way back, nothing in it is final, and something beside the log was changed."""
    places = {change.place for change in changes}
    if not places - {"log_line"} or places - set(MUTABLE) - BY_COUNTER_LINE:
        return False
    return not any(_is_final(change.place, change.after or {}) for change in changes)


def _is_final(place: str, row: Row) -> bool:
    """Whether a line of the log names a final act, or a movement has a supplier's paper behind it."""
    if place == "log_line":
        return row["act"] in FINAL_DEEDS
    return place == "movement" and row["kind"] not in STOCK_KINDS


def _is_different(change: RowChange) -> bool:
    if change.before is None or change.after is None:
        return True
    left_alone = MUTABLE[change.place] | {"revision"}
    return any(change.before[name] != value for name, value in change.after.items() if name not in left_alone)


def _plain_row(row: Row | None) -> Row | None:
    return None if row is None else {name: _plain(value) for name, value in row.items()}


def _plain(value: Any) -> Any:  # as a column's own type
    return value.isoformat() if isinstance(value, date | datetime) else value


def _key_text(key: RowKey) -> str:
    return json.dumps([_plain(value) for value in key])


def _kept(row: ActRow) -> TouchedRow:
    table = Base.metadata.tables[row.place]
    key = zip(table.primary_key, json.loads(row.row_key), strict=True)
    return TouchedRow(
        row.place,
        tuple(_typed(column.type, value) for column, value in key),
        _typed_row(table, row.before),
        _typed_row(table, row.after),
    )


def _typed_row(table: Table, row: Row | None) -> Row | None:
    return None if row is None else {name: _typed(table.c[name].type, value) for name, value in row.items()}


def _typed(kind: object, value: Any) -> Any:  # as a column's own type
    if isinstance(value, str) and isinstance(kind, UtcMoment):
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if isinstance(value, str) and isinstance(kind, Date) else value

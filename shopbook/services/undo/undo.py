"""An act is undone by the person who pressed: its rows are as before, its ledger lines countered, the log says so."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import and_, delete, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from shopbook.models.recording import Row, read_row
from shopbook.models.shelf import Material
from shopbook.models.shop import ActKey, LogLine
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.services.undo.counters import CHANGED, COUNTERS, undo_plan_versions
from shopbook.services.undo.kept_rows import UNDO_STANDS, TouchedRow, read_rows
from shopbook.services.undo.listed import BESIDE_OTHERS
from shopbook.services.undo.places import BY_COUNTER_LINE, MUTABLE, PAGES_OF_ADDED
from shopbook.trade.errors import Conflict, NotAllowed, NotFound


@dataclass(frozen=True, slots=True)
class Undone:
    """What was undone: where the act had led, where it was pressed, and which of the two pages still exists."""

    led_to: str
    pressed_on: str
    is_page_gone: bool


def undo_act(act: Act, key: str) -> Undone:
    """Undo one act of this person.

    Conflict after ten minutes, a second time, or once another act has touched the same thing; NotAllowed for
    somebody else's act; NotFound for one that cannot be undone.
    """
    done, rows = act.session.get(ActKey, key), read_rows(act.session, key)
    if done is None:
        raise NotFound("There is nothing to undo.")
    _refuse(act, done, rows)
    logged = list(act.session.scalars(select(LogLine).where(LogLine.id.in_(_ids(rows, "log_line")))))
    _refuse_final_since(act.session, logged)
    _counter(act, rows)
    _put_back(act, [row for row in rows if row.place in MUTABLE])
    undo_plan_versions(act, _ids(rows, "plan_version"))
    _log(act, logged)
    is_gone = any(row.before is None and row.place in PAGES_OF_ADDED for row in rows)
    return Undone(done.result.get("url", "/"), done.result.get("pressed_on", ""), is_gone)


def _ids(rows: Sequence[TouchedRow], place: str) -> list[int]:
    return [row.key[0] for row in rows if row.place == place]


def _counter(act: Act, rows: Sequence[TouchedRow]) -> None:
    for place, counter in COUNTERS.items():
        if ids := _ids(rows, place):
            counter(act, ids)
    # The counter lines first: they move the same rows' running figures, which putting the rows back leaves alone.
    act.session.flush()


def _refuse(act: Act, done: ActKey, rows: Sequence[TouchedRow]) -> None:
    if done.person_id != act.actor.person_id:
        raise NotAllowed("Only the person who pressed can undo it.")
    if act.session.scalar(select(ActKey.key).where(ActKey.undoes == done.key)) is not None:
        raise Conflict("This is undone already.")
    if act.moment - done.claimed_at > UNDO_STANDS:
        raise Conflict("Undo is offered for ten minutes. Change it on its own page now.")
    if not rows:
        raise NotFound("There is nothing to undo.")
    for row in rows:
        if row.place not in BY_COUNTER_LINE and _alike(read_row(act.session, row.table, row.key), row) is False:
            raise Conflict(CHANGED)


def _alike(now: Row | None, row: TouchedRow) -> bool:
    """Whether the row still stands as the act left it."""
    if now is None or row.after is None:
        return now is row.after
    return all(now[name] == value for name, value in row.after.items() if name not in MUTABLE[row.place])


def _refuse_final_since(session: Session, logged: Sequence[LogLine]) -> None:
    """An approval, a paper or money since then counted on the job as it was."""
    for job_id in {line.job_id for line in logged if line.job_id is not None}:
        last = max(line.id for line in logged)
        later = session.scalars(select(LogLine.act).where(LogLine.job_id == job_id, LogLine.id > last))
        if any(deed not in BESIDE_OTHERS for deed in later):
            raise Conflict(CHANGED)


def _put_back(act: Act, rows: Sequence[TouchedRow]) -> None:
    """Changed rows first, for they may point at rows that go; then added ones go, and removed ones come back."""
    try:
        for row in rows:
            if row.before is not None and row.after is not None:
                _change_back(act.session, row)
        for row in _added(rows):
            _take_away(act.session, row, act.moment)
        for row in rows:
            if row.before is not None and (row.after is None or _comes_back_whole(row)):
                act.session.execute(insert(row.table).values(row.before))
    except IntegrityError:
        # Somebody has meanwhile built on what would go, or taken the place of what would come back.
        raise Conflict(CHANGED) from None
    act.session.expire_all()
    _ask_for_counts(act.session, _ids(rows, "material"))


def _added(rows: Sequence[TouchedRow]) -> list[TouchedRow]:
    """Added rows, what points at others first; what hangs on an added stage stays with it."""
    added = [row for row in reversed(rows) if row.before is None]
    stages = set(_ids(added, "stage"))
    return [row for row in added if (row.after or {}).get("stage_id") not in stages]


def _change_back(session: Session, row: TouchedRow) -> None:
    if _comes_back_whole(row):
        session.execute(delete(row.table).where(_is(row)))
        return
    left_alone = MUTABLE[row.place] | {"revision"}
    was = {name: value for name, value in (row.before or {}).items() if name not in left_alone}
    if "revision" in row.table.c:
        # It only goes on: a form that was opened in between was made from what is undone.
        was["revision"] = row.table.c.revision + 1
    session.execute(update(row.table).where(_is(row)).values(was))


def _comes_back_whole(row: TouchedRow) -> bool:
    """Whether the row goes and is written as it was: nothing points at its table, and no column of it is left alone.

    A row that seems changed may be one that was removed and another that was given its id, and one of the others may
    hold what it held: all go first, and come back together.
    """
    if MUTABLE[row.place] or "revision" in row.table.c:
        return False
    others = row.table.metadata.tables.values()
    return not any(key.column.table is row.table for table in others for key in table.foreign_keys)


def _take_away(session: Session, row: TouchedRow, moment: datetime) -> None:
    """An added row goes; one that papers and versions may name stays as removed, and its number is never used again."""
    if "struck_at" in row.table.c:
        session.execute(update(row.table).where(_is(row)).values(struck_at=moment))
    else:
        session.execute(delete(row.table).where(_is(row)))


def _is(row: TouchedRow):  # type: ignore[no-untyped-def]  # a clause of the table's own columns
    return and_(*(column == value for column, value in zip(row.table.primary_key, row.key, strict=True)))


def _ask_for_counts(session: Session, material_ids: Sequence[int]) -> None:
    """A material that others meanwhile took below zero still asks for a count."""
    for material in session.scalars(select(Material).where(Material.id.in_(material_ids))):
        material.needs_count = material.needs_count or material.on_hand_thousandths < 0


def _log(act: Act, logged: Sequence[LogLine]) -> None:
    for line in logged:
        write_log(act, "undo_act", line.subject, line.subject_id, f"Undone: {line.words}"[:1000], job_id=line.job_id)
    if not logged:
        write_log(act, "undo_act", "person", act.actor.person_id, "Undone")

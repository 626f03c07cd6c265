"""The hook on the engine: what a write inserts into sealed tables is marked, and sealed before it commits."""

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Engine, event, inspect

from shopbook.models.seal.chain import Seal, top_of, write_links
from shopbook.models.seal.forms import FORMS, SealForm, get_form, present_form

UNSEALED = "shopbook_unsealed"
"""Execution option of a connection whose rows bring their seal with them (a book copied), or get it later (upgrade)."""

_LOWS, _NOTE = "shopbook_seal_lows", "shopbook_seal_note"
UPGRADED = "Sealed from here on: what stood in the book at its upgrade"


def seal_writes(engine: Engine) -> None:
    """Let every write transaction of an engine leave a link over the rows that it inserted.

    A statement is seen whoever sends it: the unit of work, a bulk insert, an insert from a select. Its rows are not, so
    they are read back at the end: all that came above the id that was highest before the table's first insert. That is
    read under the writers' lock, and never kept for the next transaction: a row slipped in between would be sealed as
    ours.
    """
    event.listen(engine, "begin", _forget)
    event.listen(engine, "before_execute", _mark)
    event.listen(engine, "commit", _seal)
    event.listen(engine, "rollback", _forget)


def note_in_seal(connection: Connection, note: str) -> None:
    """Keep a sentence of at most 200 letters in the link of this write transaction."""
    connection.info[_NOTE] = note[:200]


def _forget(connection: Connection) -> None:
    # What a connection knows outlives its transaction, and its way back into the pool, but not the end of its link to
    # the database: what a server that went away cut off knows nothing any more, and cannot be asked.
    if not connection.invalidated:
        connection.info[_LOWS], connection.info[_NOTE] = {}, ""


def _mark(connection: Connection, clause: Any, multi: object, params: object, options: object) -> None:
    if not getattr(clause, "is_insert", False) or connection.get_execution_options().get(UNSEALED):
        return
    name = clause.table.name
    if name in present_form().tables and name not in connection.info.get(_LOWS, ()):
        # A transaction that begins by itself begins with this statement, and only then is what was marked forgotten.
        low = top_of(connection, name)
        connection.info[_LOWS][name] = low


def _seal(connection: Connection) -> None:
    lows, note = connection.info.get(_LOWS), connection.info.get(_NOTE, "")
    if lows or note:
        write_links(connection, present_form(), lows or {}, note)
        _forget(connection)


def sealed_heights(connection: Connection) -> dict[str, int]:
    """The highest id of each table that the chain covers, before a migration; nothing for a book without a chain."""
    if not inspect(connection).has_table(Seal.__tablename__):
        return {}
    form = connection.execute(_NEWEST_FORM).scalar()
    return {} if form is None else {name: top_of(connection, name) for name in get_form(form).tables}


_NEWEST_FORM = Seal.__table__.select().with_only_columns(Seal.form).order_by(Seal.number.desc()).limit(1)


def seal_upgraded(connection: Connection, heights: dict[str, int], moment: datetime) -> None:
    """After a migration: seal what it wrote, and all rows of tables that were not sealed before; an old book whole."""
    if not inspect(connection).has_table(Seal.__tablename__):
        return
    form = _fitting_form(connection)
    if form is None:
        return
    lows = {name: heights.get(name, 0) for name in form.tables}
    higher = {name: low for name, low in lows.items() if top_of(connection, name) > low}
    if higher:
        write_links(connection, form, higher, UPGRADED, moment)


def _fitting_form(connection: Connection) -> SealForm | None:
    """The newest form whose columns all exist: a migration may stop half-way through the history."""
    there = inspect(connection)
    present = {name: {column["name"] for column in there.get_columns(name)} for name in there.get_table_names()}
    forms = [get_form(number) for number in reversed(FORMS)]
    return next(
        (
            form
            for form in forms
            if all(set(columns) <= present.get(name, set()) for name, columns in form.tables.items())
        ),
        None,
    )

"""What one act does to the rows of the book: each row that it adds, changes or removes, before and after."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Table, and_, event, func, inspect, select
from sqlalchemy.orm import ORMExecuteState, Session

from shopbook.models.base import Base

Row = dict[str, Any]  # a row's values are of as many types as columns have
RowKey = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class RowChange:
    """One row: `before` is None for an added row, `after` for a removed one."""

    place: str
    key: RowKey
    before: Row | None
    after: Row | None


@dataclass
class Recording:
    """The rows that a session has touched since the recording began."""

    session: Session
    before: dict[tuple[str, RowKey], Row | None] = field(default_factory=dict)
    lowest: dict[str, int] = field(default_factory=dict)
    """The highest id that a table had before rows were added to it by a statement, which names no keys."""

    def changes(self) -> list[RowChange]:
        """What is different now, table by table in the order of their references."""
        # What waits to be written has no key yet, and would be missed.
        self.session.flush()
        self._find_added()
        changed = [
            RowChange(place, key, before, read_row(self.session, Base.metadata.tables[place], key))
            for (place, key), before in self.before.items()
        ]
        order = {table.name: number for number, table in enumerate(Base.metadata.sorted_tables)}
        return sorted((one for one in changed if one.before != one.after), key=lambda one: order[one.place])

    def before_flush(self, session: Session, context: object, instances: object) -> None:
        """Read what is about to be overwritten or removed."""
        for row in [*session.dirty, *session.deleted]:
            state = inspect(row)
            self._keep(state.mapper.local_table, tuple(state.identity or ()))

    def after_flush(self, session: Session, context: object) -> None:
        """Note what was added: only now does it have its key."""
        for row in session.new:
            mapper = inspect(row).mapper
            self.before.setdefault((mapper.local_table.name, tuple(mapper.primary_key_from_instance(row))), None)

    def before_statement(self, state: ORMExecuteState) -> None:
        """Read what a statement is about to change or remove, or from where on it adds."""
        if not (state.is_insert or state.is_update or state.is_delete):
            return
        # What waits to be written comes first, or the statement would find rows that we have not seen.
        self.session.flush()
        table: Table = state.statement.table  # type: ignore[attr-defined]  # each of the three kinds has one
        if state.is_insert and "id" in table.c:
            highest = select(func.coalesce(func.max(table.c.id), 0))
            self.lowest.setdefault(table.name, self.session.connection().execute(highest).scalar_one())
        if state.is_insert:
            return
        asked = select(table).where(and_(True, *state.statement._where_criteria))  # type: ignore[attr-defined]
        for row in self.session.connection().execute(asked).mappings():
            # A mapped table answers with what its class works out too; the row is the columns alone.
            own = {column.name: row[column.name] for column in table.columns}
            self.before.setdefault((table.name, tuple(own[column.name] for column in table.primary_key)), own)

    def _keep(self, table: Table, key: RowKey) -> None:
        if (table.name, key) not in self.before:
            self.before[table.name, key] = read_row(self.session, table, key)

    def _find_added(self) -> None:
        for name, low in self.lowest.items():
            table = Base.metadata.tables[name]
            for key in self.session.connection().execute(select(table.c.id).where(table.c.id > low)).scalars():
                self.before.setdefault((name, (key,)), None)


def read_row(session: Session, table: Table, key: RowKey) -> Row | None:
    """One row as it stands in the book, by its primary key; None where there is none."""
    where = [column == value for column, value in zip(table.primary_key, key, strict=True)]
    row = session.connection().execute(select(table).where(*where)).mappings().first()
    return dict(row) if row is not None else None


@contextmanager
def recorded(session: Session) -> Iterator[Recording]:
    """Watch what a session writes, until the block ends; only the one act inside is seen."""
    recording = Recording(session)
    seen: dict[str, Callable[..., Any]] = {
        "before_flush": recording.before_flush,
        "after_flush": recording.after_flush,
        "do_orm_execute": recording.before_statement,
    }
    for name, listener in seen.items():
        event.listen(session, name, listener)
    try:
        yield recording
    finally:
        for name, listener in seen.items():
            event.remove(session, name, listener)

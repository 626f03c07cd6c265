"""One book copied whole into another database, row by row as it stands, and the proof that both hold the same."""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection, DateTime, Engine, MetaData, Table, func, insert, select

from shopbook.models.base import UtcMoment
from shopbook.models.guards import drop_guards, make_guards
from shopbook.models.seal.hook import UNSEALED
from shopbook.models.session import WRITES

_VERSION = "alembic_version"
_BATCH = 500


@dataclass(frozen=True, slots=True)
class Contents:
    """What one table holds: rows, and a figure that any changed value in any row changes."""

    row_count: int
    fingerprint: int


def copy_book(source: Engine, target: Engine) -> None:
    """Copy every row into an empty book at the same migration, in one transaction; guards and counters stand after it.

    The seal comes along as it stands: its links are rows like others, and none is written for the copying.

    ValueError when the target holds rows or stands at another migration.
    """
    with source.connect() as reading, writing(target, **{UNSEALED: True}) as there:
        tables, places = _reflect(reading), _reflect(there)
        _refuse_unlike(reading, there, tables, places)
        drop_guards(there)
        dropped = _drop_foreign_keys(there)
        for name, table in tables.items():
            _copy_rows(reading, there, table, places[name])
        for statement in dropped:
            there.exec_driver_sql(statement)
        set_counters(there, places)
        make_guards(there)
        _refuse_broken_keys(there)


@contextmanager
def writing(target: Engine, **options: bool) -> Iterator[Connection]:
    """One write transaction on a connection whose foreign keys SQLite does not check; closed with it."""
    with target.connect().execution_options(**{WRITES: True}, **options) as there:
        if target.dialect.name == "sqlite":
            there.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")  # type: ignore[union-attr]
        try:
            with there.begin():
                yield there
        finally:
            # It must not come back from the pool with its keys unchecked.
            there.invalidate()


def weigh_book(engine: Engine) -> dict[str, Contents]:
    """What each table holds, by its name; equal for equal books in either database."""
    with engine.connect() as reading:
        return {name: _weigh(reading, table) for name, table in _reflect(reading).items()}


def _reflect(connection: Connection) -> dict[str, Table]:
    """The tables as they stand, whatever migration that is; every moment read as UTC."""
    metadata = MetaData()
    metadata.reflect(connection)
    for table in metadata.tables.values():
        for column in table.columns:
            if isinstance(column.type, DateTime):
                column.type = UtcMoment()
    return {name: table for name, table in sorted(metadata.tables.items()) if name != _VERSION}


def _refuse_unlike(reading: Connection, there: Connection, tables: dict[str, Table], places: dict[str, Table]) -> None:
    stands = [
        connection.exec_driver_sql(f"SELECT version_num FROM {_VERSION}").scalar() for connection in (reading, there)
    ]
    if stands[0] != stands[1] or set(tables) != set(places):
        raise ValueError("the two books stand at different migrations")
    for name, table in places.items():
        if there.execute(select(func.count()).select_from(table)).scalar():
            raise ValueError(f"the other book is not empty: {name}")


def _copy_rows(reading: Connection, there: Connection, table: Table, place: Table) -> None:
    # By name, for a migrated table and a fresh one may hold their columns in another order.
    columns = [column.name for column in table.columns]
    rows = reading.execution_options(yield_per=_BATCH).execute(select(table).order_by(*table.primary_key.columns))
    for batch in rows.partitions(_BATCH):
        there.execute(insert(place), [dict(zip(columns, row, strict=True)) for row in batch])


def _drop_foreign_keys(there: Connection) -> list[str]:
    """Take PostgreSQL's foreign keys away while rows come in table by table; answers what makes them anew."""
    if there.dialect.name == "sqlite":
        return []
    found = there.exec_driver_sql(
        "SELECT conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid) FROM pg_constraint "
        "WHERE contype = 'f' AND connamespace = current_schema()::regnamespace ORDER BY 1, 2"
    ).fetchall()
    for table, name, _ in found:
        there.exec_driver_sql(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    return [f"ALTER TABLE {table} ADD CONSTRAINT {name} {definition}" for table, name, definition in found]


def set_counters(there: Connection, places: dict[str, Table]) -> None:
    """Let PostgreSQL's counters of ids go on behind the highest id that was copied."""
    if there.dialect.name == "sqlite":
        return
    for name, table in places.items():
        if "id" not in table.columns:
            continue
        sequence = there.exec_driver_sql("SELECT pg_get_serial_sequence(%s, 'id')", (f'"{name}"',)).scalar()
        highest = there.execute(select(func.max(table.c.id))).scalar()
        if sequence and highest:
            there.exec_driver_sql("SELECT setval(%s, %s)", (sequence, highest))


def _refuse_broken_keys(there: Connection) -> None:
    if there.dialect.name == "sqlite" and there.exec_driver_sql("PRAGMA foreign_key_check").fetchone():
        raise ValueError("a row of the book points nowhere")


def _weigh(reading: Connection, table: Table) -> Contents:
    columns = sorted(table.columns, key=lambda column: column.name)
    rows = reading.execution_options(yield_per=_BATCH).execute(select(*columns))
    row_count = fingerprint = 0
    for row in rows:
        row_count += 1
        fingerprint += int.from_bytes(hashlib.sha256(repr(tuple(row)).encode()).digest()[:16])
    return Contents(row_count, fingerprint)

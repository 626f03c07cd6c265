"""Changes planted in a sealed book past its guards, generated from its tables: each is found and named."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, Table, Text, delete, insert, select, text, type_coerce, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from shopbook.models import Base
from shopbook.models.base import JsonText
from shopbook.models.guards import drop_guards
from shopbook.models.seal.chain import Seal
from shopbook.models.seal.forms import present_form
from shopbook.models.seal.hook import UNSEALED
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.reports.sealing.proofs import list_seal_proofs
from shopbook.queries.reports.sealing.remembered import Remembered
from shopbook.trade.sealing import KeptSeal
from tests.rows import MOMENT, fill_every_table, fill_further, further_row

TABLES = sorted(present_form().tables)
ROWS = 4


@pytest.fixture(scope="module")
def sealed(empty_book_file: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """Four rows in every table, sealed one by one; then its guards are gone, as after a visit with the file."""
    path = tmp_path_factory.mktemp("sealed") / "book.sqlite3"
    path.write_bytes(empty_book_file.read_bytes())
    engine = make_engine(f"sqlite:///{path.as_posix()}")
    fill_sealed(engine)
    yield engine
    engine.dispose()


@pytest.fixture
def sealed_on_postgres(postgres_url: str) -> Iterator[Engine]:
    """The same on a server."""
    engine = make_engine(postgres_url)
    fill_sealed(engine)
    yield engine
    engine.dispose()


def fill_sealed(engine: Engine) -> None:
    for number in range(1, ROWS + 1):
        with writing(engine) as connection, connection.begin():
            fill_every_table(connection) if number == 1 else fill_further(connection, number)
    with writing(engine) as connection, connection.begin():
        drop_guards(connection)


def writing(engine: Engine) -> Connection:
    return engine.connect().execution_options(**{WRITES: True, UNSEALED: False})


@contextmanager
def visited(engine: Engine) -> Iterator[Connection]:
    """Somebody with the file: no guard, no reference and no check stops them, and what they did is given up again."""
    with writing(engine) as connection:
        if engine.dialect.name == "sqlite":
            for pragma in ("foreign_keys=OFF", "ignore_check_constraints=ON"):
                connection.connection.dbapi_connection.execute(f"PRAGMA {pragma}")  # type: ignore[union-attr]
        with connection.begin() as begun:
            if engine.dialect.name != "sqlite":
                connection.execute(text("SET LOCAL session_replication_role = replica"))
            connection.execution_options(**{UNSEALED: True})
            yield connection
            begun.rollback()
        connection.invalidate()


def faults(connection: Connection, *remembered: Remembered) -> list[str]:
    with Session(connection, join_transaction_mode="rollback_only") as session:
        found = list_seal_proofs(session, remembered)
    return [fault.said for proof in found for fault in proof.faults]


def other(value: Any) -> Any:
    """The least that can be changed of a value, and what nobody would miss."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1000
    if isinstance(value, datetime):
        return value + timedelta(microseconds=1)
    if isinstance(value, date):
        return value + timedelta(days=1)
    return "x" if value is None else value + " "


def plant(connection: Connection, table: Table, name: str) -> None:
    """Change one column of the second row by the least."""
    column = table.c[name]
    is_json = isinstance(column.type, JsonText)
    was = connection.execute(select(type_coerce(column, Text) if is_json else column).where(table.c.id == 2)).scalar()
    new = other(was) if was is not None or column.type.python_type is str else _something(column.type.python_type)
    what = {name: type_coerce(new, Text) if is_json else new}
    connection.execute(update(table).where(table.c.id == 2).values(what))


def _something(kind: type) -> Any:
    return {int: 7, bool: True, datetime: MOMENT, date: date(2026, 1, 2)}[kind]


def test_the_book_is_whole_before_anybody_touches_it(sealed: Engine) -> None:
    with visited(sealed) as connection:
        assert faults(connection) == []
        assert connection.scalar(select(Seal.number).order_by(Seal.number.desc()).limit(1)) == ROWS


@pytest.mark.parametrize("name", TABLES)
def test_a_changed_value_is_found_in_every_column_and_its_row_named(sealed: Engine, name: str) -> None:
    table = Base.metadata.tables[name]
    for column in present_form().tables[name].keys() - {"id"}:
        with visited(sealed) as connection:
            plant(connection, table, column)
            (said,) = faults(connection)
            assert said.startswith(f"{name} 2 was changed: it was written 2026-03-08 06:59 UTC in link 2, "), column


@pytest.mark.parametrize("name", TABLES)
def test_a_row_taken_slipped_in_or_put_in_anothers_place_is_named(sealed: Engine, name: str) -> None:
    table = Base.metadata.tables[name]
    for key in (1, 2, ROWS):
        with visited(sealed) as connection:
            connection.execute(delete(table).where(table.c.id == key))
            (said,) = faults(connection)
            assert said.startswith(f"{name} {key} is missing: it was written"), key
    for key in (0, 99):
        with visited(sealed) as connection:
            connection.execute(insert(table), further_row(table, 99) | {"id": key})
            assert faults(connection) == [f"{name} {key} is in no link of the seal: it was slipped in"]
    with visited(sealed) as connection:
        for was, then in ((2, 98), (3, 2), (98, 3)):
            connection.execute(update(table).where(table.c.id == was).values(id=then))
        assert [said.partition(" was changed")[0] for said in faults(connection)] == [f"{name} 2", f"{name} 3"]


def test_a_value_that_no_column_of_ours_holds_is_named_and_stops_nothing(sealed: Engine) -> None:
    for change in ("at = 'soon'", "is_typed = 5", "minutes = 1.5", "note = x'ff'", "what = NULL"):
        with visited(sealed) as connection:
            connection.execute(text("PRAGMA writable_schema = ON"))
            try:
                connection.execute(text(f"UPDATE clock_entry SET {change} WHERE id = 3"))
            except DBAPIError:
                assert change == "what = NULL"
                continue
            (said,) = faults(connection)
            assert said.startswith("clock_entry 3 was changed"), change


@pytest.mark.parametrize("name", ["previous", "at", "note", "entries", "rows_sha256", "sha256", "form"])
def test_a_changed_link_is_named(sealed: Engine, name: str) -> None:
    table = Seal.__table__
    with visited(sealed) as connection:
        was = connection.execute(select(table.c[name]).where(table.c.number == 2)).scalar()
        connection.execute(update(table).where(table.c.number == 2).values({name: other(was)}))
        assert any("Link 2 of the seal" in said or "follow" in said for said in faults(connection))


def test_a_link_taken_from_the_middle_leaves_a_gap(sealed: Engine) -> None:
    with visited(sealed) as connection:
        connection.execute(delete(Seal).where(Seal.number == 3))
        found = faults(connection)
        assert found[0] == "Link 3 is missing from the seal, before the one of 2026-03-08 06:59 UTC"
        assert [said for said in found[1:] if "Link" in said] == []
        assert "movement 3 is in no link of the seal: it was slipped in" in found


def kept(connection: Connection, number: int) -> KeptSeal:
    return KeptSeal(number, str(connection.scalar(select(Seal.sha256).where(Seal.number == number))))


def test_an_end_cut_off_with_its_rows_is_found_by_what_a_backup_keeps_and_by_nothing_else(sealed: Engine) -> None:
    with visited(sealed) as connection:
        backup = Remembered("backup shopbook-2026-03-09-010000.zip", MOMENT, kept(connection, ROWS))
        assert faults(connection, backup) == []
        for name in TABLES:
            table = Base.metadata.tables[name]
            connection.execute(delete(table).where(table.c.id == ROWS))
        connection.execute(delete(Seal).where(Seal.number == ROWS))
        assert faults(connection) == []
        (said,) = faults(connection, backup)
        assert said == (
            "The seal ends at link 3, but backup shopbook-2026-03-09-010000.zip keeps link 4: its end was cut off"
        )


def test_a_seal_made_anew_over_changed_rows_is_not_the_one_that_a_backup_keeps(sealed: Engine) -> None:
    with visited(sealed) as connection:
        backup = Remembered("backup b.zip", MOMENT, kept(connection, 2))
        connection.execute(update(Seal).where(Seal.number == 2).values(sha256="0" * 64))
        assert "Link 2 is not the one that backup b.zip keeps: the seal was made anew" in faults(connection, backup)


@pytest.mark.postgresql
def test_planted_changes_are_found_on_postgresql_too(sealed_on_postgres: Engine) -> None:
    """Every seventh column of all tables; what the server itself refuses is no change."""
    places = [(name, column) for name in TABLES for column in present_form().tables[name]]
    tried = 0
    for name, column in [place for place in places if place[1] != "id"][::7]:
        with visited(sealed_on_postgres) as connection:
            try:
                plant(connection, Base.metadata.tables[name], column)
            except DBAPIError:
                continue
            tried += 1
            (said,) = faults(connection)
            assert said.startswith(f"{name} 2 was changed"), column
    assert tried > 30
    with visited(sealed_on_postgres) as connection:
        connection.execute(delete(Base.metadata.tables["movement"]).where(text("id = 2")))
        assert [said.partition(":")[0] for said in faults(connection)] == ["movement 2 is missing"]

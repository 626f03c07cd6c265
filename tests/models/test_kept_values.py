"""What is written comes back: amounts beyond an integer, moments with their zone, words in any script; ledgers stay."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import (
    Column,
    Connection,
    DateTime,
    Engine,
    Integer,
    MetaData,
    Table,
    Text,
    create_engine,
    func,
    insert,
    select,
    text,
    type_coerce,
)
from sqlalchemy.exc import DBAPIError, StatementError

from shopbook.models import Base
from shopbook.models.guards import LEDGERS
from shopbook.models.jobs import Stage
from shopbook.models.seal.chain import Seal
from shopbook.models.session import WRITES, make_engine
from shopbook.models.shop import ActKey
from tests.rows import MOMENT, as_kept, fill_every_table, value_for


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def filled(request: pytest.FixtureRequest) -> Iterator[Engine]:
    """A book with one row in every table, in each database."""
    if request.param == "postgresql":
        engine = make_engine(request.getfixturevalue("postgres_url"))
    else:
        engine = make_engine(f"sqlite:///{request.getfixturevalue('book_file').as_posix()}")
    with writing(engine) as connection:
        fill_every_table(connection)
        connection.commit()
    yield engine
    engine.dispose()


def writing(engine: Engine) -> Connection:
    return engine.connect().execution_options(**{WRITES: True})


def test_every_value_of_every_table_comes_back_as_it_was(filled: Engine) -> None:
    with filled.connect() as connection:
        assert connection.scalar(select(func.count()).select_from(Seal)) == 1
        for table in Base.metadata.sorted_tables:
            if table is Seal.__table__:
                continue
            row = connection.execute(select(table)).one()
            wanted = {column.name: as_kept(value_for(table, column)) for column in table.columns}
            assert dict(row._mapping) == wanted, table.name


@pytest.mark.parametrize("verb", ["update", "delete"])
def test_no_line_of_a_ledger_can_be_changed_or_deleted(filled: Engine, verb: str) -> None:
    for name in LEDGERS:
        table = Base.metadata.tables[name]
        column = next(iter(table.columns)).name
        change = f'UPDATE "{name}" SET "{column}" = "{column}"' if verb == "update" else f'DELETE FROM "{name}"'
        with writing(filled) as connection, pytest.raises(DBAPIError, match=f"{name} is append-only"):
            connection.execute(text(change))


def test_a_moment_without_a_zone_is_refused(filled: Engine) -> None:
    late = {"key": "k", "act": "a", "claimed_at": datetime(2026, 1, 1), "result": {}}  # noqa: DTZ001
    with writing(filled) as connection, pytest.raises(StatementError, match="without a zone"):
        connection.execute(insert(ActKey), late)


def test_a_moment_written_in_another_zone_comes_back_as_the_same_moment(filled: Engine) -> None:
    here = datetime(2026, 7, 1, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    with writing(filled) as connection:
        connection.execute(insert(ActKey), {"key": "k", "act": "a", "claimed_at": here, "result": {}})
        kept = connection.scalar(select(ActKey.claimed_at).where(ActKey.key == "k"))
    assert kept == here
    assert kept is not None
    assert kept.tzinfo is UTC or kept.utcoffset() == timedelta(0)


def test_what_is_kept_as_json_is_the_same_text_in_each_database(filled: Engine) -> None:
    """Order and letters as they were given, so that a row can be proved later; an empty text reads as nothing kept."""
    row = {"key": "k", "act": "a", "claimed_at": MOMENT, "result": {"url": "/b", "said": "Zoë: “1,200” kept"}}
    with writing(filled) as connection:
        connection.execute(insert(ActKey), row)
        own = ActKey.key == "k"
        kept = connection.scalar(select(type_coerce(ActKey.result, Text)).where(own))
        assert kept == '{"url": "/b", "said": "Zoë: “1,200” kept"}'
        assert connection.scalar(select(ActKey.result).where(own)) == row["result"]
        connection.execute(text("UPDATE act_key SET result = '' WHERE key = 'k'"))
        assert connection.scalar(select(ActKey.result).where(own)) == {}


def test_a_new_row_says_what_nobody_said_at_once_and_shares_it_with_no_other() -> None:
    one, other = Stage(code="prime"), Stage(code="mask", planned_minutes=30)
    assert (one.planned_minutes, one.flash_minutes, one.mixes) == (0, 0, [])
    assert other.planned_minutes == 30
    assert one.mixes is not other.mixes


def test_the_plain_column_type_loses_the_zone_on_sqlite() -> None:
    """Why moments have a type of their own: five hours are lost without a word."""
    engine = create_engine("sqlite://")
    table = Table("plain", MetaData(), Column("id", Integer, primary_key=True), Column("at", DateTime(timezone=True)))
    here = datetime(2026, 7, 1, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    with engine.begin() as connection:
        table.create(connection)
        connection.execute(insert(table), {"at": here})
        kept = connection.scalar(select(table.c.at))
    engine.dispose()
    assert kept is not None
    assert kept.replace(tzinfo=UTC) - here == timedelta(hours=-5)


@pytest.mark.postgresql
def test_a_plain_integer_cannot_hold_a_drum_in_thousandths(postgres_url: str) -> None:
    """Why money and quantities are BIGINT: 2,147 litres in thousandths of a millilitre are the end of an integer."""
    engine = make_engine(postgres_url)
    with writing(engine) as connection, pytest.raises(DBAPIError, match="out of range"):
        connection.execute(text("SELECT CAST(:drums AS integer)"), {"drums": 2_148_000_000})
    engine.dispose()

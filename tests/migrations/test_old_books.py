"""The old book that migrations are tried on is whole, guarded, and comes up to this program's schema."""

from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from shopbook.models.copying import weigh_book
from shopbook.models.schema import newest_revision, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from tests.migrations.old_books import BEFORE, old_book, put_old_book

RENAMED = {"agreement": "approval"}
"""Tables of the old book that go by another name today."""


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def old_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The old book in either database, at its own schema."""
    if request.param == "sqlite":
        return old_book(tmp_path)
    url = str(request.getfixturevalue("empty_postgres_url"))
    put_old_book(url, tmp_path)
    return url


def test_the_old_book_is_full_guarded_and_comes_up_to_this_schema(old_url: str) -> None:
    engine = make_engine(old_url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == BEFORE
        with pytest.raises(DBAPIError, match="append-only"), connection.begin_nested():
            connection.execute(text("DELETE FROM setting"))
    before = weigh_book(engine)
    full = {"job": 72, "stage": 1251, "agreement": 72, "invoice": 48, "movement": 882, "month_close": 4}
    assert {name: before[name].row_count for name in full} == full
    engine.dispose()

    upgrade_schema(old_url)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == newest_revision()
    after = weigh_book(engine)
    renamed = {RENAMED.get(name, name): count for name, count in full.items()}
    assert {name: after[name].row_count for name in renamed} == renamed
    engine.dispose()


def test_the_old_book_is_the_same_in_either_database(tmp_path: Path) -> None:
    twin = tmp_path / "twin"
    twin.mkdir()
    copied_url = f"sqlite:///{(tmp_path / 'copied.sqlite3').as_posix()}"
    put_old_book(copied_url, twin)
    read, copied = make_engine(old_book(tmp_path)), make_engine(copied_url)
    assert weigh_book(copied) == weigh_book(read)
    read.dispose()
    copied.dispose()


def test_a_book_that_took_its_last_steps_before_its_seal_takes_none_of_them_twice(old_url: str) -> None:
    """Programs of one day had what follows the seal before it: such a book says that it stands at the seal."""
    upgrade_schema(old_url)
    engine = make_engine(old_url)
    there = weigh_book(engine)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        connection.execute(text("UPDATE alembic_version SET version_num = '20261130_seal'"))
    upgrade_schema(old_url)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == newest_revision()
    assert weigh_book(engine) == there
    engine.dispose()


def test_a_book_sealed_by_the_version_before_comes_up_with_every_row(old_url: str) -> None:
    upgrade_schema(old_url, to="20261130_seal")
    engine = make_engine(old_url)
    before = weigh_book(engine)
    upgrade_schema(old_url)
    after = weigh_book(engine)
    assert before["seal"].row_count > 0
    assert {name: after[name].row_count for name in before if name != "lot"} == {
        name: weight.row_count for name, weight in before.items() if name != "lot"
    }
    assert after["coat_wait"].row_count == 933
    engine.dispose()

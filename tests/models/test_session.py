"""One writer at a time, readers on one snapshot, in real processes on both databases; and how it fails otherwise."""

import multiprocessing
import os
from collections.abc import Iterator
from datetime import date

import pytest
from sqlalchemy import Engine, func, insert, select, text
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.orm import Session

from shopbook.models.session import WRITES, make_engine, transaction
from shopbook.models.shop import ClosedDay, NumberCounter, PersonRole
from shopbook.queries.reports.sealing.proofs import list_seal_proofs
from tests.models.adder import add
from tests.rows import fill_every_table

PROCESSES, TIMES = 4, 200
FORKS = multiprocessing.get_context("forkserver" if os.name == "posix" else "spawn")
# One server reads the models in; each process is a copy of it. Read in by each, they took nine tenths of the time.
FORKS.set_forkserver_preload(["tests.models.adder"])


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def url(request: pytest.FixtureRequest) -> str:
    """A book of this test's own in each database."""
    if request.param == "postgresql":
        return str(request.getfixturevalue("postgres_url"))
    return f"sqlite:///{request.getfixturevalue('book_file').as_posix()}"


@pytest.fixture
def engine(url: str) -> Iterator[Engine]:
    made = make_engine(url)
    yield made
    made.dispose()


def race(url: str, way: str) -> int:
    """What a figure comes to that four processes raise two hundred times each."""
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        session.add(NumberCounter(series="raced"))
    processes = [FORKS.Process(target=add, args=(url, way, TIMES)) for _ in range(PROCESSES)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(120)
    assert [process.exitcode for process in processes] == [0] * PROCESSES
    with Session(engine) as session:
        last = session.get_one(NumberCounter, ("raced", 0)).last_number
    engine.dispose()
    return last


@pytest.mark.processes
def test_four_processes_lose_no_addition_and_their_links_make_one_chain(url: str) -> None:
    assert race(url, "ours") == PROCESSES * TIMES
    engine = make_engine(url)
    with Session(engine) as session:
        found = list_seal_proofs(session, ())
    engine.dispose()
    assert [(proof.count, proof.faults) for proof in found] == [(PROCESSES * TIMES, ())] * 2 + [(0, ())]


@pytest.mark.processes
@pytest.mark.parametrize("way", ["pragmas", "immediate"])
def test_sqlite_loses_additions_without_our_begin(book_file: str, way: str) -> None:
    assert race(f"sqlite:///{book_file}", way) < PROCESSES * TIMES


@pytest.mark.processes
@pytest.mark.postgresql
def test_postgresql_loses_additions_without_the_writers_lock(postgres_url: str) -> None:
    assert race(postgres_url, "plain") < PROCESSES * TIMES


def test_a_reader_cannot_write(engine: Engine) -> None:
    with Session(engine) as session, pytest.raises(DBAPIError, match=r"readonly|read-only"):
        session.execute(insert(ClosedDay).values(closed_on=date(2026, 1, 1), why="new year"))


def test_a_connection_that_read_can_write_again_and_the_other_way_round(engine: Engine) -> None:
    with Session(engine) as session:
        for day in (1, 2):
            session.scalar(select(func.count()).select_from(ClosedDay))
            with transaction(session):
                session.add(ClosedDay(closed_on=date(2026, 1, day)))
            with pytest.raises(DBAPIError, match=r"readonly|read-only"):
                session.execute(insert(ClosedDay).values(closed_on=date(2026, 1, 30), why=""))
            session.rollback()
        assert session.scalar(select(func.count()).select_from(ClosedDay)) == 2


def test_a_reader_stays_on_its_snapshot_and_waits_for_nobody(engine: Engine) -> None:
    asked = select(func.count()).select_from(ClosedDay)
    with Session(engine) as reader, Session(engine) as writer:
        assert reader.scalar(asked) == 0
        with transaction(writer):
            writer.add(ClosedDay(closed_on=date(2026, 1, 1)))
            writer.flush()
            with Session(engine) as third:
                assert third.scalar(asked) == 0
        assert reader.scalar(asked) == 0
        reader.rollback()
        assert reader.scalar(asked) == 1


def test_a_write_begins_after_what_was_committed_since_the_page_was_read(engine: Engine) -> None:
    with Session(engine) as session, Session(engine) as other:
        with transaction(session):
            session.add(NumberCounter(series="raced", last_number=1))
        assert session.get_one(NumberCounter, ("raced", 0)).last_number == 1
        with transaction(other):
            other.get_one(NumberCounter, ("raced", 0)).last_number = 41
        with transaction(session):
            session.get_one(NumberCounter, ("raced", 0)).last_number += 1
        assert session.get_one(NumberCounter, ("raced", 0)).last_number == 42


def test_what_was_changed_before_the_transaction_is_refused(engine: Engine) -> None:
    with Session(engine) as session:
        session.add(ClosedDay(closed_on=date(2026, 1, 1)))
        with pytest.raises(RuntimeError, match="outside the transaction"), transaction(session):
            pass


def test_an_error_inside_a_write_leaves_nothing_of_it(engine: Engine) -> None:
    def add_and_fail(session: Session) -> None:
        with transaction(session):
            session.add(ClosedDay(closed_on=date(2026, 1, 1)))
            session.flush()
            raise KeyError

    with Session(engine) as session:
        with pytest.raises(KeyError):
            add_and_fail(session)
        assert session.scalar(select(func.count()).select_from(ClosedDay)) == 0


def test_a_table_made_in_a_failed_write_is_gone(engine: Engine) -> None:
    def make_and_fail() -> None:
        with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            connection.execute(text("CREATE TABLE half_made (id INTEGER)"))
            raise KeyError

    with pytest.raises(KeyError):
        make_and_fail()
    with engine.connect() as connection:
        assert not connection.dialect.has_table(connection, "half_made")


def test_a_row_that_points_nowhere_is_refused(engine: Engine) -> None:
    with Session(engine) as session, pytest.raises(IntegrityError), transaction(session):
        session.add(PersonRole(person_id=4711, role="owner"))


def test_a_savepoint_takes_back_its_own_part_only(engine: Engine) -> None:
    with Session(engine) as session:
        with transaction(session):
            session.add(ClosedDay(closed_on=date(2026, 1, 1)))
            session.flush()
            nested = session.begin_nested()
            session.add(ClosedDay(closed_on=date(2026, 1, 2)))
            session.flush()
            nested.rollback()
        assert session.scalars(select(ClosedDay.closed_on)).all() == [date(2026, 1, 1)]


def test_every_table_takes_a_row(engine: Engine) -> None:
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        assert fill_every_table(connection) > 60

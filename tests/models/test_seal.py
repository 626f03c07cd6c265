"""Every write leaves one link over the rows that it inserted, whoever sent them; on both databases, in any order."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from sqlalchemy import Engine, insert, literal, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from shopbook.models.copying import copy_book, weigh_book
from shopbook.models.schema import upgrade_schema
from shopbook.models.seal.chain import MOST_ROWS, Seal
from shopbook.models.seal.hook import note_in_seal
from shopbook.models.session import WRITES, make_engine, transaction
from shopbook.models.shop import ClosedDay, LabourRate, LogLine, Person, PersonCost
from shopbook.queries.reports.sealing.proofs import list_seal_proofs
from shopbook.trade.sealing import next_link
from tests.makers import STARTED, make_book
from tests.rows import MOMENT

LINE = {"at": MOMENT, "on": date(2026, 3, 8), "act": "try", "subject": "person", "words": "Zoë"}

SLIPPED = 'at, "on", act, subject, words'


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def engine(request: pytest.FixtureRequest) -> Iterator[Engine]:
    """An empty book in each database."""
    if request.param == "postgresql":
        made = make_engine(request.getfixturevalue("postgres_url"))
    else:
        made = make_engine(f"sqlite:///{request.getfixturevalue('book_file').as_posix()}")
    yield made
    made.dispose()


def links(engine: Engine) -> list[str]:
    """The rows of each link, without their digests; the whole chain holds."""
    with Session(engine) as session:
        assert [fault for proof in list_seal_proofs(session, ()) for fault in proof.faults] == []
        entries = session.scalars(select(Seal.entries).order_by(Seal.number)).all()
    return [", ".join(line.rpartition(" ")[0] for line in one.splitlines()) for one in entries]


def rate(number: int) -> dict[str, object]:
    return {"skill": "body", "payer_kind": "any", "rate_minor": number, "from_on": date(2026, 1, 1), "at": MOMENT}


def test_rows_added_one_by_one_in_bulk_and_from_a_select_are_all_in_the_link(engine: Engine) -> None:
    with Session(engine) as session:
        with transaction(session):
            session.add(LogLine(**LINE))
            session.execute(insert(LabourRate), [rate(1), rate(2)])
            own = LabourRate.__table__.c
            copied = select(own.skill, literal("dealer"), own.rate_minor, own.from_on, own.at)
            names = ["skill", "payer_kind", "rate_minor", "from_on", "at"]
            session.execute(insert(LabourRate).from_select(names, copied))
        with transaction(session):
            session.connection().execute(insert(LogLine.__table__).values(LINE))
    rates = ", ".join(f"labour_rate {number}" for number in (1, 2, 3, 4))
    assert links(engine) == [f"{rates}, log_line 1", "log_line 2"]


def test_what_is_not_sealed_leaves_no_link_and_neither_does_a_reader(engine: Engine) -> None:
    with Session(engine) as session:
        with transaction(session):
            session.add(ClosedDay(closed_on=date(2026, 1, 1)))
        session.scalars(select(LogLine)).all()
        session.commit()
    assert links(engine) == []


def test_a_write_given_up_leaves_nothing_and_the_next_one_is_sealed_whole(engine: Engine) -> None:
    """Its ids may be used again (SQLite) or left out (PostgreSQL): a link names what is there."""
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        for is_kept in (False, True, False, True):
            connection.execute(insert(LogLine), [LINE, LINE])
            (connection.commit if is_kept else connection.rollback)()
    with Session(engine) as session:
        ids = session.scalars(select(LogLine.id).order_by(LogLine.id)).all()
    assert links(engine) == [f"log_line {ids[0]}, log_line {ids[1]}", f"log_line {ids[2]}, log_line {ids[3]}"]


def test_a_savepoint_taken_back_takes_its_rows_out_of_the_link(engine: Engine) -> None:
    with Session(engine) as session, transaction(session):
        session.add(LogLine(**LINE))
        session.flush()
        nested = session.begin_nested()
        session.add(LabourRate(**rate(1)))
        session.flush()
        nested.rollback()
    assert links(engine) == ["log_line 1"]


def test_a_row_slipped_in_between_two_writes_is_never_sealed_as_ours(engine: Engine) -> None:
    with Session(engine) as session:
        with transaction(session):
            session.add(LogLine(**LINE))
        with transaction(session):
            session.execute(text(f"INSERT INTO log_line ({SLIPPED}) SELECT {SLIPPED} FROM log_line"))
        with transaction(session):
            session.add(LogLine(**LINE))
        found = [fault.said for proof in list_seal_proofs(session, ()) for fault in proof.faults]
    assert found == ["log_line 2 is in no link of the seal: it was slipped in"]


def test_the_moment_of_a_link_is_the_latest_of_its_rows_else_that_of_the_link_before(engine: Engine) -> None:
    later = MOMENT + timedelta(hours=1)
    with Session(engine) as session:
        with transaction(session):
            session.add_all([LogLine(**LINE), LogLine(**(LINE | {"at": later}))])
        with transaction(session):
            session.add(Person(id=1, name="Dana", weekly_minutes=2400, created_at=STARTED))
            session.flush()
            session.add(PersonCost(person_id=1, cost_minor=3100, from_on=date(2026, 1, 1)))
        assert session.scalars(select(Seal.at).order_by(Seal.number)).all() == [later, later]


def test_what_is_written_in_bulk_is_cut_into_links_of_a_thousand_rows(engine: Engine) -> None:
    with Session(engine) as session, transaction(session):
        session.execute(insert(LogLine), [LINE] * (MOST_ROWS + 1))
    assert [said.count("log_line") for said in links(engine)] == [MOST_ROWS, 1]


def test_a_note_is_kept_with_the_rows_of_its_write_or_alone(engine: Engine) -> None:
    with Session(engine) as session:
        with transaction(session):
            note_in_seal(session.connection(), "alone")
        with transaction(session):
            note_in_seal(session.connection(), "with a row")
            session.add(LogLine(**LINE))
        with transaction(session):
            session.add(LogLine(**LINE))
        assert session.scalars(select(Seal.note).order_by(Seal.number)).all() == ["alone", "with a row", ""]
    assert links(engine) == ["", "log_line 1", "log_line 2"]


def test_a_write_whose_link_cannot_be_written_leaves_nothing_and_the_next_one_is_whole(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a full disk: a row without its link must never stay."""

    def fail(*given: object) -> None:
        raise OSError("no room")

    with Session(engine) as session:
        with monkeypatch.context() as patched:
            patched.setattr("shopbook.models.seal.hook.write_links", fail)
            with pytest.raises(OSError, match="no room"), transaction(session):
                session.add(LogLine(**LINE))
        assert session.scalars(select(LogLine.id)).all() == []
        with transaction(session):
            session.add(LogLine(**LINE))
        (key,) = session.scalars(select(LogLine.id))
    assert links(engine) == [f"log_line {key}"]


def test_no_two_links_follow_the_same_one(engine: Engine) -> None:
    link = next_link(None, MOMENT, 1, "", ())
    values = {name: getattr(link, name) for name in type(link).__slots__} | {"sha256": link.sha256}
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        connection.execute(insert(Seal), values)
        with pytest.raises(IntegrityError):
            connection.execute(insert(Seal), values | {"number": 2})


@pytest.mark.postgresql
def test_a_write_reads_what_was_committed_before_its_lock_whatever_the_server_would_do(postgres_url: str) -> None:
    engine = make_engine(postgres_url, connect_args={"options": "-c default_transaction_isolation=serializable"})
    with Session(engine) as session, transaction(session):
        assert session.scalar(text("SHOW transaction_isolation")) == "read committed"
    engine.dispose()


@pytest.mark.postgresql
def test_a_book_moved_to_postgresql_and_back_keeps_its_links_as_they_stand(
    postgres_url: str, book_file: object, tmp_path: object
) -> None:
    here, there = make_engine(f"sqlite:///{book_file}"), make_engine(postgres_url)
    back_url = f"sqlite:///{tmp_path}/back.sqlite3"
    upgrade_schema(back_url)
    back = make_engine(back_url)
    with Session(here) as session, transaction(session):
        make_book(session)
        session.add(LogLine(**LINE))
    copy_book(here, there)
    copy_book(there, back)
    assert weigh_book(here)["seal"] == weigh_book(there)["seal"] == weigh_book(back)["seal"]
    assert links(here) == links(there) == links(back)
    with Session(there) as session, transaction(session):
        session.add(LogLine(**LINE))
    assert len(links(there)) == len(links(here)) + 1
    for engine in (here, there, back):
        engine.dispose()

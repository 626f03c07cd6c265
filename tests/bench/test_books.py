"""A short book of the kind to measure on: it proves on both databases, and what is open does not grow with its past."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.commands.proving import prove_book
from shopbook.config import Config, read_config
from shopbook.models.customers import Customer, SearchKey
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import LogLine
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.quotes import priced_quotes, quotes_of
from shopbook.trade.search_keys import name_keys, phone_keys
from tests.bench.books import TODAY, Size, build_book
from tests.bench.shifting import Marks, Shift
from tests.servers import Postgres, fresh_database

JOBS = 4


@dataclass(frozen=True, slots=True)
class Built:
    """A short book with so many stretches behind its open days; only read."""

    config: Config
    session: Session
    stretches: int


@contextmanager
def built(folder: Path, stretches: int, url: str = "") -> Iterator[Built]:
    given = {"SHOPBOOK_DATA": str(folder)} | ({"SHOPBOOK_DATABASE_URL": url} if url else {})
    config = read_config(given)
    build_book(config, Size(stretches, JOBS))
    engine = make_engine(config.database_url)
    with Session(engine) as session:
        yield Built(config, session, stretches)
    engine.dispose()


@pytest.fixture(scope="module")
def on_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """Four weeks written three times."""
    with built(tmp_path_factory.mktemp("three"), 3) as found:
        yield found


@pytest.fixture(scope="module")
def on_postgresql(tmp_path_factory: pytest.TempPathFactory, postgres: Postgres) -> Iterator[Built]:
    """The same four weeks written twice."""
    with fresh_database(postgres, "template0") as url, built(tmp_path_factory.mktemp("two"), 2, url) as found:
        yield found


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def book(request: pytest.FixtureRequest) -> Built:
    """Each of the two books."""
    found = request.getfixturevalue(f"on_{request.param}")
    assert isinstance(found, Built)
    return found


def faults_of(config: Config) -> list[str]:
    engine = make_engine(config.database_url)
    found = [fault for proof in prove_book(config, engine) for fault in proof.faults]
    engine.dispose()
    return found


def open_work(session: Session) -> list[object]:
    """What stands open at the end, and what lies on the shelf then."""
    is_open = Job.settled_at.is_(None) & Job.called_off_at.is_(None)
    jobs = select(Job.wrong, Job.opened_on, Job.begun_at, Job.promise_on).where(is_open).order_by(Job.id)
    shelf = select(Material.name, Material.on_hand_thousandths, Material.value_minor).order_by(Material.id)
    return [list(map(tuple, session.execute(jobs))), list(map(tuple, session.execute(shelf)))]


def test_a_text_is_moved_with_its_days_numbers_keys_and_names() -> None:
    before, after = (
        Marks({"customer": 3, "stage": 0, "quote_group": 0}, {"job": 10}),
        Marks({"customer": 5, "stage": 40, "quote_group": 9}, {"job": 14}),
    )
    shift, words = Shift(before, after, 2), LogLine.__table__.c.words
    said = [
        "Opened job 11 on Nov 3, 2025, for Ada Zuqoby, 555-000-0001, ZUQO 104",
        "Promised for Monday, December 29, 2025; looked at 2025-12-24, May 1, 2026",
        '"customer_id": 3, "customer_id": 4, "id": 7, "after": [7, 8], "job": 12',
        '"groups": [{"key": "6", "lines": [{"key": 12}]}]',
    ]
    assert list(shift.values(words, {"words": said})) == [
        "Opened job 19 on Dec 29, 2025, for Ada Fabiby, 555-002-0001, FABI 104",
        "Promised for Monday, February 23, 2026; looked at 2026-02-18, Jun 26, 2026",
        '"customer_id": 3, "customer_id": 8, "id": 87, "after": [87, 88], "job": 20',
        '"groups": [{"key": "24", "lines": [{"key": 12}]}]',
    ]


def test_values_that_are_kept_as_json_are_moved_as_a_text_is() -> None:
    shift = Shift(Marks({"customer": 3}, {"job": 10}), Marks({"customer": 5}, {"job": 14}), 2)
    frozen = {"to": "Ada Zuqoby", "job": 11, "on": "2025-12-24", "payers": [{"customer_id": 4, "paid": 0}]}
    moved = {"to": "Ada Fabiby", "job": 19, "on": "2026-02-18", "payers": [{"customer_id": 8, "paid": 0}]}
    assert list(shift.values(Invoice.__table__.c.frozen, {"frozen": [frozen, {}]})) == [moved, {}]


def test_four_weeks_written_again_prove(book: Built) -> None:
    assert book.session.scalar(select(func.count(Job.id))) == (book.stretches + 1) * JOBS
    assert faults_of(book.config) == []


@pytest.mark.postgresql
def test_what_is_open_at_the_end_is_the_same_whatever_lies_behind(on_sqlite: Built, on_postgresql: Built) -> None:
    longer, shorter = (open_work(book.session) for book in (on_sqlite, on_postgresql))
    assert longer == shorter
    assert all(shorter)
    moved = [book.session.scalar(select(func.count(Movement.id))) or 0 for book in (on_sqlite, on_postgresql)]
    assert moved[0] > moved[1] > 0


def test_numbers_run_on_and_nothing_is_dated_after_today(book: Built) -> None:
    jobs = (book.stretches + 1) * JOBS
    assert list(book.session.scalars(select(Job.number).order_by(Job.id))) == list(range(1, jobs + 1))
    latest = book.session.scalar(select(func.max(Payment.at)))
    assert latest is not None
    assert latest <= TODAY


def test_every_customer_has_a_name_of_its_own_and_is_found_by_it(book: Built) -> None:
    session = book.session
    customers = list(session.scalars(select(Customer)))
    assert len({customer.name for customer in customers}) == len(customers) > book.stretches
    for customer in customers:
        asked = select(SearchKey.key).where(SearchKey.customer_id == customer.id)
        keys = set(session.scalars(asked.where(SearchKey.kind.in_(("name", "phone")))))
        assert keys == {*name_keys(customer.name), *phone_keys(customer.phone)}


def test_a_quote_written_again_is_read_with_its_own_items(book: Built) -> None:
    session = book.session
    by_job = quotes_of(session, session.scalars(select(Job.id).where(Job.id > JOBS)))
    quotes = [quote for each in by_job.values() for quote in each]
    priced = priced_quotes(session, quotes)
    assert any(quote.given_row for quote in quotes)
    for quote in quotes:
        assert {group.key for group in priced[quote.id].groups} == {str(group.id) for group in quote.groups}


def test_a_paper_written_again_names_its_own_job_and_owner(book: Built) -> None:
    session = book.session
    invoices = list(session.scalars(select(Invoice).where(Invoice.job_id > JOBS)))
    assert invoices
    for invoice in invoices:
        job = get_job_by_id(session, invoice.job_id)
        assert job.customer is not None
        assert (invoice.frozen["to"], invoice.frozen["job"]) == (job.customer.name, job.number)

"""A short book of the kind to measure on: it proves on both databases, and what is open does not grow with its past."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.commands.check import prove_book
from shopbook.config import Config, read_config
from shopbook.models.customers import Customer, SearchKey
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine
from shopbook.models.shelf import Material, Movement
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.trade.search_keys import name_keys, phone_keys
from tests.bench.books import TODAY, Size, build_book

JOBS = 4
STRETCHES = 3


@contextmanager
def built(folder: Path, stretches: int, url: str = "") -> Iterator[tuple[Config, Session]]:
    given = {"SHOPBOOK_DATA": str(folder)} | ({"SHOPBOOK_DATABASE_URL": url} if url else {})
    config = read_config(given)
    build_book(config, Size(stretches, JOBS))
    engine = make_engine(config.database_url)
    with Session(engine) as session:
        yield config, session
    engine.dispose()


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Config, Session]]:
    """Four weeks written three times, and the open days after them; only read."""
    with built(tmp_path_factory.mktemp("three"), STRETCHES) as found:
        yield found


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


def test_four_weeks_written_three_times_prove_on_sqlite(book: tuple[Config, Session]) -> None:
    assert faults_of(book[0]) == []


def test_four_weeks_written_three_times_prove_on_postgresql(tmp_path: Path, empty_postgres_url: str) -> None:
    with built(tmp_path, STRETCHES, empty_postgres_url) as (config, session):
        assert session.scalar(select(func.count(Job.id))) == (STRETCHES + 1) * JOBS
        assert faults_of(config) == []


def test_what_is_open_at_the_end_is_the_same_whatever_lies_behind(book: tuple[Config, Session], tmp_path: Path) -> None:
    with built(tmp_path, 1) as (_, session):
        short, long = open_work(session), open_work(book[1])
        moved = session.scalar(select(func.count(Movement.id))) or 0
    assert short == long
    assert short[0]
    assert (book[1].scalar(select(func.count(Movement.id))) or 0) > 2 * moved > 0


def test_numbers_run_on_and_nothing_is_dated_after_today(book: tuple[Config, Session]) -> None:
    _, session = book
    assert list(session.scalars(select(Job.number).order_by(Job.id))) == list(range(1, (STRETCHES + 1) * JOBS + 1))
    latest = session.scalar(select(func.max(Payment.at)))
    assert latest is not None
    assert latest <= TODAY


def test_every_customer_has_a_name_of_its_own_and_is_found_by_it(book: tuple[Config, Session]) -> None:
    _, session = book
    customers = list(session.scalars(select(Customer)))
    assert len({customer.name for customer in customers}) == len(customers) > STRETCHES
    for customer in customers:
        asked = select(SearchKey.key).where(SearchKey.customer_id == customer.id)
        keys = set(session.scalars(asked.where(SearchKey.kind.in_(("name", "phone")))))
        assert keys == {*name_keys(customer.name), *phone_keys(customer.phone)}


def test_a_paper_written_again_names_its_own_job_and_owner(book: tuple[Config, Session]) -> None:
    _, session = book
    invoices = list(session.scalars(select(Invoice).where(Invoice.job_id > JOBS)))
    assert invoices
    for invoice in invoices:
        job = get_job_by_id(session, invoice.job_id)
        assert job.customer is not None
        assert f'"to": "{job.customer.name}"' in invoice.frozen
        assert f'"job": {job.number}' in invoice.frozen

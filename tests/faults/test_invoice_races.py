"""Two desks write the same invoice at once, and a desk dies with the number in its hand: no gap, no second invoice."""

import multiprocessing
import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import NumberCounter
from shopbook.queries.shop.people import list_people
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.trade.errors import Conflict
from shopbook.trade.permissions import THE_PROGRAM, Role
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.billing import make_agreed_job

JOBS = 6
SPAWN = multiprocessing.get_context("spawn")
pytestmark = pytest.mark.processes


def fill(url: str) -> list[int]:
    """A book with agreed jobs that nobody has invoiced."""
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        make_person(session, "Noor", Role.OWNER)
        jobs = [make_agreed_job(session, NOON).id for _ in range(JOBS)]
        assert list_people(session)
    engine.dispose()
    return jobs


def write_all(url: str, jobs: list[int], start: Callable[[], object]) -> None:
    """One desk: it presses every job's invoice once with the key that both desks hold, and once with its own."""
    engine = make_engine(url)
    start()
    for job_id in jobs:
        for key in (f"page-{job_id}", f"own-{os.getpid()}-{job_id}"):
            with Session(engine) as session:
                try:
                    with transaction(session):
                        if claim_act(session, key, "money.issue", None, NOON) is None:
                            made = issue_invoice(Act(session, THE_PROGRAM, NOON), job_id)
                            keep_result(session, key, Done(f"/money/invoices/{made.id}"))
                except Conflict:
                    pass
    engine.dispose()


def die_with_a_number(url: str, job_id: int) -> None:
    """A desk that is killed after its invoice was written and before it was committed."""
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        issue_invoice(Act(session, THE_PROGRAM, NOON), job_id)
        os.kill(os.getpid(), signal.SIGKILL)


def two_at_once(url: str) -> None:
    jobs = fill(url)
    barrier = SPAWN.Barrier(2)
    desks = [SPAWN.Process(target=write_all, args=(url, jobs, barrier.wait)) for _ in range(2)]
    for one in desks:
        one.start()
    for one in desks:
        one.join(120)
    assert [one.exitcode for one in desks] == [0, 0]
    engine = make_engine(url)
    with Session(engine) as session:
        rows = session.execute(select(Invoice.number, Invoice.job_id).order_by(Invoice.number)).all()
    engine.dispose()
    assert [number for number, _ in rows] == list(range(1, JOBS + 1))
    assert sorted(job_id for _, job_id in rows) == sorted(jobs)


def killed_with_a_number(url: str) -> None:
    jobs = fill(url)
    write_all(url, jobs[:1], lambda: None)
    dead = SPAWN.Process(target=die_with_a_number, args=(url, jobs[1]))
    dead.start()
    dead.join(120)
    assert dead.exitcode == -signal.SIGKILL
    write_all(url, jobs[1:2], lambda: None)
    engine = make_engine(url)
    with Session(engine) as session:
        numbers = list(session.scalars(select(Invoice.number).order_by(Invoice.number)))
        last = session.get_one(NumberCounter, ("invoice", 0)).last_number
    engine.dispose()
    assert (numbers, last) == ([1, 2], 2)


def test_two_desks_at_once_write_one_invoice_a_job_on_sqlite(book_file: Path) -> None:
    two_at_once(f"sqlite:///{book_file}")


def test_two_desks_at_once_write_one_invoice_a_job_on_postgresql(postgres_url: str) -> None:
    two_at_once(postgres_url)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system kills otherwise")
def test_a_desk_killed_with_a_number_leaves_no_gap_on_sqlite(book_file: Path) -> None:
    killed_with_a_number(f"sqlite:///{book_file}")


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system kills otherwise")
def test_a_desk_killed_with_a_number_leaves_no_gap_on_postgresql(postgres_url: str) -> None:
    killed_with_a_number(postgres_url)

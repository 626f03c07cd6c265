"""Two hundred jobs of random acts in one book: whatever is open stands on a list of Money, nothing settled does."""

from collections import Counter
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.owed import JobStands, job_stands, list_on_account, list_owed
from shopbook.queries.money.payments import PREPAID, FreePayment, read_payments
from shopbook.queries.money.waiting import waiting_to_invoice
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.purposes import JobPurpose
from tests.makers.billing import prove
from tests.makers.random_ways_back import ForgetfulDesk

HISTORIES, JOBS, STEPS = 20, 10, 30


def ledgers_say(session: Session) -> tuple[set[int], set[int], set[int]]:
    """Ids of the jobs with a share that is owed, with money set against nothing, and with an invoice ever issued."""
    papers = {paper.id: paper for paper in session.scalars(select(Invoice).where(Invoice.kind != "credit"))}
    rows = [row for each in payer_standings(session, papers).values() for row in each]
    owed = {papers[row.invoice_id].job_id for row in rows if row.owed_minor > 0}
    free = {row.payment.job_id or 0 for row in read_payments(session, session.scalars(select(Job.id))) if _is_held(row)}
    return owed, free, {paper.job_id for paper in papers.values() if paper.kind == "invoice"}


def _is_held(row: FreePayment) -> bool:
    return row.free_minor > 0 and row.payment.kind in (*PREPAID, "security")


def has_work_to_bill(job: Job, stands: JobStands, *, is_billed: bool) -> bool:
    """Whether a car that is done has approved work on no invoice, or a part that its payer has not approved."""
    is_done = job.ready_at is not None or job.handed_over_at is not None
    is_ours = job.called_off_at is None and job.agreed_at is not None and job.purpose == JobPurpose.PAID
    is_left = stands.rest_minor > 0 or bool(stands.held) or (not is_billed and stands.agreed_minor > 0)
    return is_done and is_ours and is_left


def check(desk: ForgetfulDesk) -> Counter[str]:
    """Every job of the book against the lists of Money; answers how many jobs were found open on which, or settled."""
    session, shop = desk.session, shop_at(desk.session, desk.now)
    lists = {
        "owed": {line.job_number for line in list_owed(session)},
        "account": {row.job_number for row in list_on_account(session)},
        "waiting": {job.number for job, _ in waiting_to_invoice(shop)},
    }
    jobs, told = session.scalars(select(Job)).all(), Counter[str]()
    stands = job_stands(session, [job.id for job in jobs], shop.day)
    owed, free, billed = ledgers_say(session)
    for job in jobs:
        is_waiting = has_work_to_bill(job, stands[job.id], is_billed=job.id in billed)
        said = {"owed": job.id in owed, "account": job.id in free, "waiting": is_waiting}
        wanted = {name for name, is_open in said.items() if is_open}
        listed = {name for name, numbers in lists.items() if job.number in numbers}
        assert wanted <= listed, f"job {job.number} is open ({wanted}) and stands on {listed}"
        assert listed - wanted <= {"waiting"}, f"job {job.number} stands on {listed}, open is {wanted}"
        assert not (job.settled_at and (listed or wanted)), f"job {job.number} is settled and stands on {listed}"
        told.update(wanted or {"settled" if job.settled_at else "in work"})
    return told


@pytest.mark.demo
def test_whatever_is_open_of_two_hundred_jobs_is_listed_and_nothing_settled(book_file: Path) -> None:
    """Checked after every one of the histories, over all jobs so far; the dice reach every list and every way back."""
    engine = make_engine(f"sqlite:///{book_file}")
    with Session(engine) as session:
        desk, told = ForgetfulDesk(session, 0), Counter[str]()
        for seed in range(HISTORIES):
            desk.begin(seed, JOBS)
            for _ in range(STEPS):
                desk.step()
            with transaction(session):
                told = check(desk)
        with transaction(session):
            prove(session)
            kinds = set(session.scalars(select(Payment.kind)))
            assert len(session.scalars(select(Job.id)).all()) == HISTORIES * JOBS
            back = [row.amount_minor for row in session.scalars(select(Payment).where(Payment.kind == "typed_wrong"))]
    engine.dispose()
    assert all(told[name] >= 10 for name in ("owed", "account", "waiting", "settled")), told
    assert {"typed_wrong", "other_job", "chargeback", "refund", "written_off"} <= kinds
    assert min(back) < 0 < max(back), "payments and refunds were entered wrong"

"""One transfer over several invoices: one line, one receipt, every job settled; as it is spread, not otherwise."""

from datetime import date, datetime

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.models.shop import LogLine
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payments import free_of
from shopbook.queries.money.receipts import find_receipt
from shopbook.services.act import Act
from shopbook.services.money.hand_over import let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.money.transfers import take_over_several
from shopbook.trade.errors import RuleBroken
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job, prove


def three_jobs(session: Session, now: datetime, act: Act) -> list[Job]:
    dealer = make_customer(session, "Harbor Motors", kind="dealer")
    jobs = [make_agreed_job(session, now, customer=dealer) for _ in range(3)]
    for job in jobs:
        issue_invoice(act, job.id)
        let_go(act, job.id, "on account")
    return jobs


def test_one_transfer_pays_several_invoices_with_one_receipt(session: Session, now: datetime, act: Act) -> None:
    jobs = three_jobs(session, now, act)
    payer = jobs[0].customer_id or 0
    parts = {1: 82616, 2: 82616, 3: 34768}
    payment = take_over_several(act, payer, amount_minor=200000, parts=parts, means="transfer", reference="HM 11")
    assert session.scalar(select(func.count()).select_from(Payment)) == 1
    assert [job.settled_at is not None for job in jobs] == [True, True, False]
    assert [(line.invoice.number, line.owed_minor) for line in list_owed(session)] == [(3, 47848)]
    kept = find_receipt(session, payment)
    assert kept is not None
    assert kept["rows"] == [["Invoice 1, job 1", 82616], ["Invoice 2, job 2", 82616], ["Invoice 3, job 3", 34768]]
    logged = session.scalars(select(LogLine.job_id).where(LogLine.act == "take_payment")).all()
    assert sorted(filter(None, logged)) == [job.id for job in jobs]
    prove(session)
    reverse_payment(act, payment.id, kind="chargeback", reason="recalled by the bank")
    assert [line.owed_minor for line in list_owed(session)] == [82616] * 3
    assert all(job.settled_at is None for job in jobs)
    prove(session)


def test_what_is_left_over_stays_as_credit_of_the_first_job(session: Session, now: datetime, act: Act) -> None:
    jobs = three_jobs(session, now, act)
    parts = {2: 82616, 1: 0}
    payment = take_over_several(act, jobs[1].customer_id or 0, amount_minor=90000, parts=parts, means="transfer")
    assert (payment.job_id, free_of(session, payment.id)) == (jobs[1].id, 7384)
    prove(session)


@pytest.mark.parametrize(
    ("amount", "parts", "on", "sentence"),
    [
        (200000, {1: 82617}, None, r"On invoice 1 \$826\.16 is still to pay"),
        (1000, {1: 600, 2: 600}, None, "more than the payment"),
        (1000, {1: 0}, None, "at least one invoice"),
        (1000, {1: 1000}, date(2026, 11, 6), "after today"),
        (1000, {1: 1000}, date(2026, 10, 1), "before the job was opened"),
    ],
)
def test_a_spread_that_cannot_be_is_refused(
    session: Session, now: datetime, act: Act, amount: int, parts: dict[int, int], on: date | None, sentence: str
) -> None:
    jobs = three_jobs(session, now, act)
    with pytest.raises(RuleBroken, match=sentence):
        take_over_several(act, jobs[0].customer_id or 0, amount_minor=amount, parts=parts, means="transfer", on=on)


def test_nobody_pays_the_share_of_another_payer_by_it(session: Session, now: datetime, act: Act) -> None:
    three_jobs(session, now, act)
    other = make_customer(session, "Noor Bell")
    with pytest.raises(RuleBroken, match=r"\$0\.00 is still to pay"):
        take_over_several(act, other.id, amount_minor=100, parts={1: 100}, means="transfer")

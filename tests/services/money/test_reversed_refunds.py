"""A refund that was entered wrong is taken back the way a payment is, the other way round."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payments import free_of, list_free, list_free_on
from shopbook.queries.money.receipts import find_receipt
from shopbook.queries.reports.taken_back import list_taken_back
from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.money.reversed_refunds import RefundAgain, reverse_refund
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.billing import add_quote, make_job, prove

TODAY = date(2026, 11, 5)
REASON = "200 typed for 20"


def refunded(session: Session, act: Act, now: datetime, *, left: int = 10000) -> tuple[Payment, Payment]:
    """A job of 275.31 paid with 300.00 too much by card; all but `left` of that was refunded by card."""
    job = make_job(session, now)
    lines = [("labour", "Work", 20900), ("materials", "Paint and materials", 6140)]
    add_quote(session, job, job.opened_at, [("left_front_door", "Left front door", lines)])
    issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=27531 + 30000, means="card")
    hand_over(act, job.id)
    return payment, refund(act, payment.id, amount_minor=30000 - left, means="card", reason="paid too much")


def test_two_hundred_typed_for_twenty_are_taken_back_and_entered_again(
    session: Session, now: datetime, act: Act
) -> None:
    payment, wrong = refunded(session, act, now)
    assert free_of(session, payment.id) == 10000
    line = reverse_refund(act, wrong.id, reason=REASON, again=RefundAgain(2000, "cash", TODAY))
    rows = session.execute(select(Payment.kind, Payment.amount_minor, Payment.means).order_by(Payment.id)).all()
    assert [tuple(row) for row in rows[1:]] == [
        ("refund", -20000, "card"),
        ("typed_wrong", 20000, "card"),
        ("refund", -2000, "cash"),
    ]
    assert (line.reverses_id, line.number, line.reason) == (wrong.id, 3, REASON)
    assert free_of(session, payment.id) == 28000
    assert free_of(session, line.id) == 0, "it belongs to the payment"
    assert [row.free_minor for row in list_free(session)] == [28000]
    assert [row.free_minor for row in list_free_on(session, TODAY)] == [28000]
    said = find_receipt(session, line)
    assert said is not None
    assert said["kind"] == "Reversal"
    assert said["rows"] == [["Entered wrong: receipt 2 of November 5, 2026", 20000]]
    told = [(row.kind, row.amount_minor) for row in list_taken_back(session, TODAY, TODAY)]
    assert told == [("refund", 20000), ("refund_reversed", 20000), ("refund", 2000)]
    prove(session)


def test_a_settled_job_is_open_again_and_settled_once_the_money_went_back(
    session: Session, now: datetime, act: Act
) -> None:
    payment, wrong = refunded(session, act, now, left=0)
    job = session.get_one(Job, payment.job_id)
    assert job.settled_at is not None
    reverse_refund(act, wrong.id, reason="it never went out")
    assert job.settled_at is None
    refund(act, payment.id, amount_minor=30000, means="transfer", reason="paid too much")
    assert job.settled_at is not None
    prove(session)


def test_what_is_owed_by_then_takes_the_money_first(session: Session, now: datetime, act: Act) -> None:
    payment, wrong = refunded(session, act, now, left=0)
    job = session.get_one(Job, payment.job_id)
    more = [("left_rear_door", "Left rear door", [("labour", "Work", 10000)])]
    add_quote(session, job, now, more, kind="extra")
    issue_invoice(act, job.id)
    (owing,) = list_owed(session)
    reverse_refund(act, wrong.id, reason="it never went out")
    assert list_owed(session) == []
    assert free_of(session, payment.id) == 30000 - owing.owed_minor
    prove(session)


def test_the_payment_itself_is_reversed_with_all_that_came_back_to_it(
    session: Session, now: datetime, act: Act
) -> None:
    payment, wrong = refunded(session, act, now)
    reverse_refund(act, wrong.id, reason=REASON)
    back = reverse_payment(act, payment.id, kind="typed_wrong", reason="another customer")
    assert back.amount_minor == -57531
    assert sum(session.scalars(select(Payment.amount_minor))) == 0
    prove(session)


@pytest.mark.parametrize(
    ("reason", "on", "again", "sentence", "field"),
    [
        (" ", None, None, "Enter what was wrong", "reason"),
        (REASON, date(2026, 11, 6), None, "after today", "on"),
        (REASON, date(2026, 11, 4), None, "before the day it was made", "on"),
        (REASON, None, RefundAgain(30001, "card", TODAY), "more than this payment", "amount"),
        (REASON, None, RefundAgain(0, "card", TODAY), "above zero", "amount"),
        (REASON, None, RefundAgain(2000, "card", date(2026, 11, 4)), "before the payment", "paid_on"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    session: Session, now: datetime, act: Act, reason: str, on: date | None, again: RefundAgain | None,
    sentence: str, field: str,
) -> None:  # fmt: skip
    _, wrong = refunded(session, act, now)
    with pytest.raises(RuleBroken, match=sentence) as refused:
        reverse_refund(act, wrong.id, reason=reason, on=on, again=again)
    assert refused.value.field == field


def test_only_a_refund_is_reversed_and_once(session: Session, now: datetime, act: Act, owner: Actor) -> None:
    payment, wrong = refunded(session, act, now)
    with pytest.raises(RuleBroken, match="Only a refund"):
        reverse_refund(act, payment.id, reason=REASON)
    line = reverse_refund(act, wrong.id, reason=REASON)
    with pytest.raises(RuleBroken, match="reversed already"):
        reverse_refund(act, wrong.id, reason=REASON)
    later = Act(session, owner, now + timedelta(days=1))
    for taken in (line, wrong):
        with pytest.raises(RuleBroken, match="unused credit"):
            refund(later, taken.id, amount_minor=1, means="card", reason="again")
    with pytest.raises(RuleBroken, match="Only a payment that came in"):
        reverse_payment(later, line.id, kind="typed_wrong", reason=REASON)
    assert session.scalars(select(Invoice.kind)).all() == ["invoice"]
    prove(session)

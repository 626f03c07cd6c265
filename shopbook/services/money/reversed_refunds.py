"""A refund that was entered wrong is taken back, and the right one entered with it."""

from dataclasses import dataclass
from datetime import date

from shopbook.models.money import Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.payments import get_payment, left_of
from shopbook.services.act import Act
from shopbook.services.money.allocations import allocate, open_shares, settle
from shopbook.services.money.payments import Taken, check_day, put_down, refund
from shopbook.services.money.receipts import write_receipt
from shopbook.services.postings import write_log
from shopbook.trade.billing.reversals import Reversal
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class RefundAgain:
    """A refund as it should have been entered."""

    amount_minor: int
    means: str
    on: date


def reverse_refund(
    act: Act, payment_id: int, *, reason: str, on: date | None = None, again: RefundAgain | None = None
) -> Payment:
    """Take a refund back by a line "entered wrong" above zero, so that its money belongs to the payment again.

    300.00 paid too much and 200.00 refunded where 20.00 went back: receipt 2 −200.00, receipt 3 +200.00, and with
    `again` receipt 4 −20.00; 280.00 is unused credit. What the customer owes on the job by then takes from it first.
    RuleBroken without a reason, for anything but a refund, for one taken back already, on a day before it or in a
    closed month; the day of what is entered again is the field `paid_on`.
    """
    wrong = get_payment(act.session, payment_id)
    if wrong.kind != "refund" or wrong.reverses_id is None:
        raise RuleBroken("Only a refund can be reversed here.")
    if not reason.strip():
        raise RuleBroken("Enter what was wrong, for example: 200 typed for 20.", "reason")
    left = -left_of(act.session, wrong.id)
    if left <= 0:
        raise RuleBroken("This refund is reversed already.")
    taken = Taken(wrong.customer_id, wrong.job_id, wrong.means, _day(act, wrong, on), reason=reason)
    line = put_down(act, Reversal.TYPED_WRONG, left, taken, reverses=wrong)
    write_receipt(act, line)
    words = f"Reversed the refund, receipt {wrong.number}, with receipt {line.number}"
    write_log(act, "reverse_refund", "payment", line.id, words, job_id=wrong.job_id)
    payment = get_payment(act.session, wrong.reverses_id)
    if again is not None:
        _refund_again(act, payment, again, reason)
    _use(act, payment)
    return line


def _day(act: Act, wrong: Payment, on: date | None) -> date:
    day = check_day(act, get_job_by_id(act.session, wrong.job_id) if wrong.job_id else None, on)
    if day < wrong.on:
        raise RuleBroken("A refund cannot be reversed before the day it was made.", "on")
    return day


def _refund_again(act: Act, payment: Payment, again: RefundAgain, reason: str) -> None:
    try:
        refund(act, payment.id, amount_minor=again.amount_minor, means=again.means, reason=reason, on=again.on)
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, "paid_on" if broken.field == "on" else broken.field) from broken


def _use(act: Act, payment: Payment) -> None:
    """Set what is free again against what its payer owes on the job, and see whether the job is settled."""
    if payment.job_id is None:
        return
    allocate(act, payment, open_shares(act.session, payment.job_id, payment.customer_id))
    settle(act.session, act.moment, get_job_by_id(act.session, payment.job_id))

"""A payment is taken back (returned cheque, chargeback, entered wrong), and what is right is entered with it."""

from dataclasses import dataclass, replace
from datetime import date
from typing import TypedDict

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.queries.money.invoices import find_live_invoice, get_invoice
from shopbook.queries.money.payments import (
    PREPAID,
    allocated_by_invoice,
    find_filler,
    free_of,
    get_payment,
    list_taken_back,
)
from shopbook.services.act import Act
from shopbook.services.money.allocations import open_shares, set_against, settle, take_difference_back
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.payments import Taken, check_day, put_down, take_payment
from shopbook.services.money.receipts import write_receipt
from shopbook.services.money.returned_fees import charge_fee
from shopbook.services.postings import write_log
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.billing.number_series import Series
from shopbook.trade.billing.pay_means import PayMeans
from shopbook.trade.billing.reversals import ENTERED_AGAIN, Reversal, reversals_of
from shopbook.trade.errors import NotFound, RuleBroken

ALREADY = "Nothing of this payment is left to reverse."
ROUNDED = "The payment that was rounded was reversed"
_TREATMENTS = {"deposit": DepositRule.TAXED_WHEN_TAKEN, "held": DepositRule.HELD, "security": DepositRule.SECURITY}


@dataclass(frozen=True, slots=True)
class Again:
    """A payment as it should have been entered; without an amount that of the line that is taken back."""

    job_number: int
    means: str
    on: date
    amount_minor: int | None = None
    reference: str = ""


def reverse_payment(
    act: Act,
    payment_id: int,
    *,
    kind: str,
    reason: str,
    on: date | None = None,
    again: Again | None = None,
    with_fee: bool = False,
) -> Payment:
    """Take a payment back by a line of its own kind, so that what it paid is open again, due when it was.

    Of a taxed deposit that was entered wrong the invoice is credited too; `with_fee` charges the fee that the owner
    set for a returned cheque, on any other reversal it says nothing. `again` is what should have been entered
    (only for a mistake of the shop), written in the same act. RuleBroken without a reason, for a kind that its means
    cannot have, for what was taken back or refunded already, on a day before the payment or in a closed month;
    the day of what is entered again is the field `paid_on`.
    """
    payment = get_payment(act.session, payment_id)
    why, target = _check(act, payment, kind, again), _target(act, again)
    if not reason.strip():
        raise RuleBroken("Enter what happened, for example: not enough funds.", "reason")
    paid = allocated_by_invoice(act.session, payment.id)
    _free_all(act, payment, why, reason)
    back = _put_back(act, payment, why, reason, on)
    if with_fee and why is Reversal.RETURNED_CHEQUE and payment.job_id is not None:
        charge_fee(act, payment, get_job_by_id(act.session, payment.job_id))
    _settle(act, {get_invoice(act.session, paper_id).job_id for paper_id, _ in paid} | {payment.job_id or 0})
    if again is not None and target is not None:
        _enter_again(act, payment, target, again, -back.amount_minor)
    return back


def _put_back(act: Act, payment: Payment, why: Reversal, reason: str, on: date | None) -> Payment:
    """The line that takes back what is free of a payment now, with its paper; RuleBroken where that is nothing."""
    left = free_of(act.session, payment.id)
    if left <= 0:
        raise RuleBroken(ALREADY)
    taken = Taken(payment.customer_id, payment.job_id, payment.means, _day(act, payment, on), payment.reference, reason)
    back = put_down(act, why, -left, taken, reverses=payment)
    write_receipt(act, back)
    words = f"Reversed receipt {payment.number} with receipt {back.number}"
    write_log(act, "reverse_payment", "payment", back.id, words, job_id=payment.job_id)
    return back


def _check(act: Act, payment: Payment, kind: str, again: Again | None) -> Reversal:
    _refuse_no_payment(payment)
    if kind not in reversals_of(PayMeans(payment.means)):
        raise RuleBroken("That does not happen to money paid this way. Choose another reason.", "kind")
    why = Reversal(kind)
    if again is not None and why not in ENTERED_AGAIN:
        raise RuleBroken("Save this first. Take the new payment when it comes.", "amount")
    own = get_job_by_id(act.session, payment.job_id).number if payment.job_id else None
    if why is Reversal.OTHER_JOB and (again is None or again.job_number == own):
        raise RuleBroken("Enter the number of the job that this payment belongs to.", "job")
    return why


def _refuse_no_payment(payment: Payment) -> None:
    if payment.amount_minor <= 0 or payment.series != Series.RECEIPT or payment.kind not in (*PREPAID, "security"):
        raise RuleBroken("Only a payment that came in can be reversed.")


def _target(act: Act, again: Again | None) -> Job | None:
    try:
        return get_job(act.session, again.job_number) if again is not None else None
    except NotFound as missing:
        raise RuleBroken("No job has that number. Check it.", "job") from missing


def _day(act: Act, payment: Payment, on: date | None) -> date:
    day = check_day(act, get_job_by_id(act.session, payment.job_id) if payment.job_id else None, on)
    if day < payment.on:
        raise RuleBroken("A payment cannot be reversed before the day it was made.", "on")
    return day


def _free_all(act: Act, payment: Payment, why: Reversal, reason: str) -> None:
    """Take the payment off every paper, and what was rounded with it back; credit the paper of a deposit entered wrong.

    Crediting frees the deposit by itself, so what is still set against a paper is read again after it.
    """
    if why in ENTERED_AGAIN and payment.kind == "deposit":
        papers = {paper_id for paper_id, _ in allocated_by_invoice(act.session, payment.id)}
        for paper_id in sorted(papers):
            if get_invoice(act.session, paper_id).kind == "deposit":
                credit_invoice(act, paper_id, reason=reason)
    _take_off(act, payment)
    _take_roundings_back(act, payment)


def _take_roundings_back(act: Act, payment: Payment) -> None:
    filler = find_filler(act.session, payment)
    if filler is not None:
        _take_off(act, filler)
        left = free_of(act.session, filler.id)
        if left:
            take_difference_back(act, filler, left, reason=ROUNDED)
    rounded = sum(row.amount_minor for row in list_taken_back(act.session, payment) if row.kind == "rounding")
    if rounded:
        taken = Taken(payment.customer_id, payment.job_id, PayMeans.NONE, act.day, reason=ROUNDED)
        put_down(act, "rounding", -rounded, taken, reverses=payment)


def _take_off(act: Act, payment: Payment) -> None:
    for (paper_id, customer_id), amount in allocated_by_invoice(act.session, payment.id).items():
        set_against(act, payment, paper_id, customer_id, -amount)


def _settle(act: Act, job_ids: set[int]) -> None:
    for job_id in sorted(job_ids - {0}):
        settle(act.session, act.moment, get_job_by_id(act.session, job_id))


def _enter_again(act: Act, payment: Payment, job: Job, again: Again, left: int) -> None:
    """What should have been entered; on another job from the same payer if it has a share there, else its customer."""
    shares = open_shares(act.session, job.id, payment.customer_id)
    payer = payment.customer_id if job.id == payment.job_id or shares else job.customer_id
    right = replace(again, amount_minor=left if again.amount_minor is None else again.amount_minor)
    is_billed = find_live_invoice(act.session, job.id) is not None or bool(shares)
    try:
        if is_billed and payment.kind != "security":
            take_payment(act, job_id=job.id, customer_id=payer, **_typed(right))
        else:
            treatment = _TREATMENTS.get(payment.kind)
            take_deposit(act, job.id, treatment=treatment, customer_id=payer, **_typed(right))
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, "paid_on" if broken.field == "on" else broken.field) from broken


class _Typed(TypedDict):
    amount_minor: int
    means: str
    on: date
    reference: str


def _typed(right: Again) -> _Typed:
    return _Typed(amount_minor=right.amount_minor or 0, means=right.means, on=right.on, reference=right.reference)

"""Money is taken, rounded, given back; a security becomes a payment."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import PayerStanding, find_live_invoice
from shopbook.queries.money.payers import recorded_payer
from shopbook.queries.money.payments import free_of, get_payment
from shopbook.queries.shop.rates import setting_on
from shopbook.services.act import Act
from shopbook.services.money.allocations import allocate, open_shares, recover, set_against, settle
from shopbook.services.money.receipts import write_receipt
from shopbook.services.postings import post_payment, write_log
from shopbook.trade.billing import cash_rounding
from shopbook.trade.billing.number_series import Series
from shopbook.trade.billing.pay_means import PayMeans
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import LARGEST_MINOR
from shopbook.trade.settings import SettingName

DIFFERENCE = "difference"
"""The series of what is no money: cash rounding and write-offs. Receipts are numbered without them."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What stands on one line of money: whose, for which job, by what means, on which day."""

    customer_id: int | None
    job_id: int | None
    means: str
    on: date
    reference: str = ""
    reason: str = ""


def take_payment(
    act: Act,
    *,
    job_id: int,
    amount_minor: int,
    means: str,
    customer_id: int | None = None,
    on: date | None = None,
    reference: str = "",
    invoice_id: int | None = None,
    rounds_cash: bool = True,
) -> Payment:
    """Money from one payer of a job (the customer unless named): for the chosen paper, else the oldest that is open.

    What is more than owed recovers what was written off of that payer, and then stays on account. Cash that is out by
    no more than the smallest coin closes the paper with a rounding. RuleBroken for a sum not above zero, a day before
    the job, after today or in a closed month, or while nothing is invoiced: then it is a deposit.
    """
    job = get_job_by_id(act.session, job_id)
    payer = recorded_payer(act.session, job, customer_id)
    taken = Taken(payer, job.id, means, check_day(act, job, on), reference)
    is_billed = find_live_invoice(act.session, job.id) is not None or invoice_id is not None
    if not is_billed and not open_shares(act.session, job.id, payer):
        raise RuleBroken("This job has no invoice yet. Take the money as a deposit, or write the invoice first.")
    payment = put_down(act, "payment", amount_minor, taken)
    use_payment(act, job, payment, invoice_id=invoice_id, rounds_cash=rounds_cash)
    return payment


def use_payment(
    act: Act,
    job: Job,
    payment: Payment,
    *,
    invoice_id: int | None = None,
    rounds_cash: bool = True,
) -> None:
    """A part of an act: set a payment that was put down against its payer's open shares, round cash, log, settle."""
    payer = payment.customer_id
    if rounds_cash and payment.means == PayMeans.CASH:
        _round_cash(act, payment, open_shares(act.session, job.id, payer, invoice_id))
    allocate(act, payment, open_shares(act.session, job.id, payer, invoice_id))
    recover(act, payment, job.id)
    write_receipt(act, payment)
    write_log(
        act,
        "take_payment",
        "payment",
        payment.id,
        f"Took a payment, receipt {payment.number}",
        job_id=job.id,
    )
    settle(act.session, act.moment, job)


def check_day(act: Act, job: Job | None, on: date | None) -> date:
    """The day that money is dated; RuleBroken after today or before the job was opened."""
    today = act.day
    day = on or today
    if day > today:
        raise RuleBroken("A payment cannot be dated after today. Choose today or an earlier day.", "on")
    if job is not None and day < job.opened_on:
        raise RuleBroken("That is before the job was opened. Choose a later day.", "on")
    return day


def put_down(
    act: Act,
    kind: str,
    amount_minor: int,
    taken: Taken,
    *,
    reverses: Payment | None = None,
) -> Payment:
    """One line of money with its receipt number; money that comes in is above zero and not absurdly large."""
    is_money = kind not in {"rounding", "written_off"}
    if is_money and reverses is None and amount_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount")
    if abs(amount_minor) > LARGEST_MINOR:
        raise RuleBroken("That amount is too large. Check it.", "amount")
    return post_payment(
        act.session,
        Payment(
            series=Series.RECEIPT if is_money else DIFFERENCE,
            number=0,
            kind=kind,
            customer_id=taken.customer_id,
            job_id=taken.job_id,
            amount_minor=amount_minor,
            means=PayMeans(taken.means) if is_money else PayMeans.NONE,
            reference=taken.reference.strip()[:200],
            at=act.moment,
            on=taken.on,
            reverses_id=reverses.id if reverses else None,
            reason=taken.reason.strip()[:200],
            person_id=act.actor.person_id,
        ),
    )


def _round_cash(act: Act, payment: Payment, shares: Sequence[PayerStanding]) -> None:
    """Close the gap that coins leave with a line of its own, so that the payment stays what was really handed over."""
    step = setting_on(act.session, SettingName.CASH_ROUNDING_MINOR, payment.on)
    owed = sum(share.owed_minor for share in shares)
    gap = payment.amount_minor - owed
    if step <= 1 or not shares or gap == 0 or gap != cash_rounding(owed, step):
        return
    whose = Taken(payment.customer_id, payment.job_id, PayMeans.NONE, payment.on, reason="Cash rounding")
    if gap > 0:
        put_down(act, "rounding", -gap, whose, reverses=payment)
        return
    filler = put_down(act, "rounding", -gap, whose)
    set_against(act, filler, shares[-1].invoice_id, shares[-1].customer_id, -gap)


def refund(
    act: Act,
    payment_id: int,
    *,
    amount_minor: int,
    means: str,
    reason: str,
    on: date | None = None,
) -> Payment:
    """Give back of a payment what is on account; RuleBroken for more than that, or without a reason.

    What is set against an invoice is freed by crediting the invoice, or by moving it.
    """
    payment = get_payment(act.session, payment_id)
    if not reason.strip():
        raise RuleBroken("Enter a reason for the refund.", "reason")
    if amount_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount")
    free = free_of(act.session, payment.id) if payment.amount_minor > 0 else 0
    if amount_minor > free:
        raise RuleBroken(
            "That is more than this payment’s unused credit. To refund money used for an invoice, credit the invoice "
            "first.",
            "amount",
        )
    job = get_job_by_id(act.session, payment.job_id) if payment.job_id else None
    day = check_day(act, job, on)
    if day < payment.on:
        raise RuleBroken("A refund cannot be dated before the payment.", "on")
    kind = "security" if payment.kind == "security" else "refund"
    taken = Taken(payment.customer_id, payment.job_id, means, day, reason=reason)
    back = put_down(act, kind, -amount_minor, taken, reverses=payment)
    write_receipt(act, back)
    write_log(act, "refund", "payment", back.id, f"Refunded, receipt {back.number}", job_id=payment.job_id)
    if job is not None:
        settle(act.session, act.moment, job)
    return back


def keep_security(act: Act, payment_id: int) -> Payment:
    """The customer lets a security be a payment: it goes back on paper and comes in again, against what is owed."""
    security = get_payment(act.session, payment_id)
    free = free_of(act.session, security.id)
    if security.kind != "security" or free <= 0 or security.job_id is None:
        raise RuleBroken("There is no security deposit left to keep.")
    day = act.day
    taken = Taken(security.customer_id, security.job_id, security.means, day, reason="Security deposit kept as payment")
    back = put_down(act, "security", -free, taken, reverses=security)
    payment = put_down(act, "payment", free, taken)
    allocate(act, payment, open_shares(act.session, security.job_id, security.customer_id))
    for each in (back, payment):
        write_receipt(act, each)
    words = "Kept the security deposit as payment"
    write_log(act, "keep_security", "payment", payment.id, words, job_id=security.job_id)
    settle(act.session, act.moment, get_job_by_id(act.session, security.job_id))
    return payment

"""Money taken and given back: lists, what of each payment is still free, what is on account for whom."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Select, func, or_, select
from sqlalchemy.orm import Session, aliased, joinedload

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Payment
from shopbook.queries.money.as_of import open_after
from shopbook.queries.money.set_lines import list_set_lines
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import cash_rounding
from shopbook.trade.errors import NotFound
from shopbook.trade.settings import SettingName

PREPAID = ("payment", "deposit", "held")
"""Kinds of money that count towards a job; a security does only once it is let be a payment."""


def get_payment(session: Session, payment_id: int) -> Payment:
    """One payment; NotFound when there is none."""
    payment = session.get(Payment, payment_id)
    if payment is None:
        raise NotFound("That payment is not in the book.")
    return payment


def list_payments(session: Session, before_id: int | None = None, limit: int = 50) -> list[Payment]:
    """Money taken and given back, with customer and job, newest first; `before_id` is the last of the page before."""
    asked = _named(select(Payment).order_by(Payment.id.desc()).limit(limit))
    return list(session.scalars(asked if before_id is None else asked.where(Payment.id < before_id)))


def _named(asked: Select[Payment]) -> Select[Payment]:
    """With whose each payment is and its job, in the same statement."""
    return asked.options(joinedload(Payment.customer), joinedload(Payment.job))


def list_job_payments(session: Session, job_id: int) -> list[Payment]:
    """All money of one job, oldest first."""
    return list(session.scalars(select(Payment).where(Payment.job_id == job_id).order_by(Payment.id)))


def payable_in_cash(shop: ShopOn, owed_minor: int) -> int | None:
    """What coins can pay of a sum on the shop's day; None where it is the sum itself."""
    step = shop.settings[SettingName.CASH_ROUNDING_MINOR]
    rounding = cash_rounding(owed_minor, step) if step > 1 else 0
    return owed_minor + rounding if rounding else None


def list_invoice_payments(session: Session, invoice_id: int) -> list[tuple[Payment, int]]:
    """The payments that something of was set against one paper, with how much, oldest first."""
    rows = session.execute(
        select(Allocation.payment_id, func.sum(Allocation.amount_minor))
        .where(Allocation.invoice_id == invoice_id)
        .group_by(Allocation.payment_id)
    )
    amounts = {payment_id: int(amount) for payment_id, amount in rows if amount}
    payments = session.scalars(select(Payment).where(Payment.id.in_(amounts)).order_by(Payment.id))
    return [(payment, amounts[payment.id]) for payment in payments]


def allocated_by_invoice(session: Session, payment_id: int) -> dict[tuple[int, int | None], int]:
    """What of one payment is set against which paper for whom, (paper, customer) to amount; zeros left out."""
    rows = session.execute(
        select(Allocation.invoice_id, Allocation.customer_id, func.sum(Allocation.amount_minor))
        .where(Allocation.payment_id == payment_id)
        .group_by(Allocation.invoice_id, Allocation.customer_id)
    )
    return {(invoice_id, customer_id): int(amount) for invoice_id, customer_id, amount in rows if amount}


def list_taken_back(session: Session, payment: Payment) -> list[Payment]:
    """The lines that took something of a payment back (refunds, its reversal, roundings), oldest first.

    A refund that was itself taken back stands among them with the line that did so.
    """
    first = aliased(Payment)
    own = select(first.id).where(first.job_id == payment.job_id, first.reverses_id == payment.id)
    back = or_(Payment.reverses_id == payment.id, Payment.reverses_id.in_(own))
    return list(session.scalars(select(Payment).where(Payment.job_id == payment.job_id, back).order_by(Payment.id)))


def left_of(session: Session, payment_id: int) -> int:
    """What came in with one payment and did not go back, whether it is set against something or not."""
    return free_of(session, payment_id) + sum(allocated_by_invoice(session, payment_id).values())


def find_filler(session: Session, payment: Payment) -> Payment | None:
    """The rounding that came with a payment in coins and paid the last of its paper: it is the very next line."""
    after = select(Payment).where(Payment.job_id == payment.job_id, Payment.id > payment.id)
    line = session.scalars(after.order_by(Payment.id).limit(1)).first()
    return line if line is not None and line.kind == "rounding" and line.reverses_id is None else None


@dataclass(frozen=True, slots=True)
class FreePayment:
    """A payment that came in, and what of it is set against nothing and was not given back."""

    payment: Payment
    free_minor: int


def _free(asked: Select[Any]) -> Select[Any]:
    """The statement over payments with two more columns: set against papers, and taken back by later lines.

    A line that takes back belongs to the job of what it takes back; by the job it is found without a scan. What takes
    back a refund gives the payment its money again.
    """
    back, first = aliased(Payment), aliased(Payment)
    own = select(first.id).where(first.job_id == Payment.job_id, first.reverses_id == Payment.id).correlate(Payment)
    spent = (
        select(func.coalesce(func.sum(Allocation.amount_minor), 0))
        .where(Allocation.payment_id == Payment.id)
        .correlate(Payment)
        .scalar_subquery()
    )
    gone = (
        select(func.coalesce(func.sum(back.amount_minor), 0))
        .where(back.job_id == Payment.job_id, or_(back.reverses_id == Payment.id, back.reverses_id.in_(own)))
        .correlate(Payment)
        .scalar_subquery()
    )
    return asked.add_columns(spent, gone)


def free_of(session: Session, payment_id: int) -> int:
    """What of one payment is set against nothing and was not given back, in minor units; NotFound for none."""
    row = session.execute(_free(select(Payment).where(Payment.id == get_payment(session, payment_id).id))).one()
    return _left(*row)


def _left(payment: Payment, spent: Any, gone: Any) -> int:
    """What is free of a line; of one that takes a refund back nothing is: it belongs to the payment again."""
    is_refund_back = payment.amount_minor > 0 and payment.reverses_id is not None
    return 0 if is_refund_back else payment.amount_minor - int(spent) + int(gone)


def list_free(session: Session, *, job_id: int | None = None, with_security: bool = False) -> list[FreePayment]:
    """Payments with something free, oldest first; of one job, or of all: a job that is settled has none."""
    asked = select(Payment).where(Payment.amount_minor > 0, Payment.kind.in_(_kinds(with_security)))
    if job_id is not None:
        asked = asked.where(Payment.job_id == job_id)
    else:
        asked = asked.join(Job, Job.id == Payment.job_id).where(Job.settled_at.is_(None))
    rows = session.execute(_free(asked.order_by(Payment.on, Payment.id)))
    return [FreePayment(row[0], _left(*row)) for row in rows if _left(*row) > 0]


def list_free_on(session: Session, day: date) -> list[FreePayment]:
    """Payments with something free at the end of a day, securities too, with customer and job, oldest first; three
    statements."""
    asked = select(Payment).join(Job, Job.id == Payment.job_id).where(open_after(day), Payment.on <= day)
    came = asked.where(Payment.amount_minor > 0, Payment.kind.in_(_kinds(True))).order_by(Payment.on, Payment.id)
    payments = list(session.scalars(_named(came)))
    gone = _gone_by(session, day, [payment.id for payment in payments])
    free = [FreePayment(payment, payment.amount_minor - gone[payment.id]) for payment in payments]
    return [row for row in free if row.free_minor > 0]


def _gone_by(session: Session, day: date, payment_ids: Collection[int]) -> dict[int, int]:
    """What of each payment was set against papers, or had gone back, at the end of a day."""
    gone: dict[int, int] = defaultdict(int)
    lines = list_set_lines(session, Allocation.payment_id.in_(payment_ids)) if payment_ids else []
    for line in (each for each in lines if each.counts_on <= day):
        gone[line.payment_id] += line.amount_minor
    for payment_id, back in list_back(session, payment_ids):
        gone[payment_id] -= back.amount_minor if back.on <= day else 0
    return gone


def money_of(line: type[Payment], first: type[Payment]) -> ColumnElement[int | None]:
    """The payment whose money a line moves that takes back; `first`, joined outer, is what it names. What takes a
    refund back gives the payment its money again."""
    return func.coalesce(first.reverses_id, line.reverses_id)


def list_back(session: Session, payment_ids: Collection[int]) -> list[tuple[int, Payment]]:
    """Every line that takes back of these payments, or gives one back what a refund took, each after the payment's
    id; oldest first. It has their job, and is found by that."""
    if not payment_ids:
        return []
    back, first = aliased(Payment), aliased(Payment)
    asked = (
        select(Payment.id, back)
        .join(back, back.job_id == Payment.job_id)
        .join(first, first.id == back.reverses_id)
        .where(Payment.id.in_(payment_ids), Payment.id == money_of(back, first))
        .order_by(back.id)
    )
    return [(row[0], row[1]) for row in session.execute(asked)]


def _kinds(with_security: bool) -> tuple[str, ...]:
    return (*PREPAID, "security") if with_security else PREPAID


def total_free_by_job(session: Session, job_ids: Iterable[int]) -> dict[int, int]:
    """Money of each of these jobs that is set against nothing yet; securities left out. One statement."""
    free, _ = free_by_payer(session, job_ids)
    return {job_id: sum(rows.values()) for job_id, rows in free.items()}


def free_by_payer(session: Session, job_ids: Iterable[int]) -> tuple[dict[int, dict[int | None, int]], dict[int, int]]:
    """Money of each of these jobs that is set against nothing yet, by job and by who paid it, and each job's
    securities. One statement."""
    return sum_free(read_payments(session, job_ids))


def read_payments(session: Session, job_ids: Iterable[int]) -> list[FreePayment]:
    """All money of these jobs, oldest first, each with what of it is free (of money given back: nothing). One
    statement."""
    asked = select(Payment).where(Payment.job_id.in_(list(job_ids))).order_by(Payment.id)
    return [FreePayment(row[0], _left(*row) if row[0].amount_minor > 0 else 0) for row in session.execute(_free(asked))]


def sum_free(payments: Iterable[FreePayment]) -> tuple[dict[int, dict[int | None, int]], dict[int, int]]:
    """What of payments that are read already is free, by job and by who paid it, and each job's securities."""
    free: dict[int, dict[int | None, int]] = {}
    securities: dict[int, int] = {}
    for row in payments:
        payment, job_id = row.payment, row.payment.job_id or 0
        if payment.amount_minor > 0 and payment.kind == "security":
            securities[job_id] = securities.get(job_id, 0) + row.free_minor
        elif payment.amount_minor > 0 and payment.kind in PREPAID:
            own = free.setdefault(job_id, {})
            own[payment.whose_id] = own.get(payment.whose_id, 0) + row.free_minor
    return free, securities

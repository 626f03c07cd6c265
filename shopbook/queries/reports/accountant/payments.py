"""The rows of what was paid: payments, what they were set against, money held, bad debts."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import ScalarSelect, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.queries.money.invoices import PayerStanding, payer_standings
from shopbook.queries.money.payments import PREPAID
from shopbook.queries.reports.accountant.reading import AnySelect, FlatValues, of_customer, read_rows
from shopbook.trade.billing.bad_debts import tax_in_debt

BAD_DEBT_KINDS = ("written_off", "recovered")
TAKEN_AHEAD = ("deposit", "held", "security")


def list_flat_payments(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Payments of these days; one statement."""
    asked = (
        select(
            Payment.id.label("payment_id"),
            *(Payment.series, Payment.year, Payment.number, Payment.kind, Payment.on, Payment.job_id),
            Job.number.label("job_number"),
            Payment.means,
            Payment.amount_minor.label("amount"),
            Payment.reference,
            Payment.reverses_id.label("reverses_payment_id"),
            Payment.reason,
        )
        .outerjoin(Job, Job.id == Payment.job_id)
        .where(Payment.on.between(first, last))
    )
    return read_rows(session, of_customer(asked, Payment.customer_id).order_by(Payment.id))


def list_flat_allocations(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Allocations of these days; one statement."""
    asked = (
        select(
            Allocation.id.label("allocation_id"),
            *(Allocation.on, Allocation.payment_id, Allocation.invoice_id, Allocation.reason),
            Payment.kind.label("payment_kind"),
            Invoice.kind.label("invoice_kind"),
            Invoice.number.label("invoice_number"),
            Allocation.amount_minor.label("amount"),
        )
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .where(Allocation.on.between(first, last))
    )
    return read_rows(session, of_customer(asked, Allocation.customer_id).order_by(Allocation.id))


def list_flat_deposits(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Deposits and securities of these days, and other money of which something was held on the last; one statement.

    200.00 held on Nov 3, 150.00 set against an invoice on Nov 20: of November 200.00, 150.00 and 50.00 held; of the
    days up to Nov 10 200.00, 0.00 and 200.00.
    """
    spent, back = _allocated_by(last), _given_back_by(last)
    asked = (
        select(
            Payment.id.label("payment_id"),
            *(Payment.number, Payment.kind, Payment.on, Payment.job_id),
            Job.number.label("job_number"),
            Payment.amount_minor.label("amount"),
            spent.label("allocated"),
            back.label("given_back"),
            (Payment.amount_minor - spent - back).label("held"),
        )
        .outerjoin(Job, Job.id == Payment.job_id)
        .where(Payment.amount_minor > 0, Payment.on <= last, Payment.kind.in_((*PREPAID, *TAKEN_AHEAD)))
        .where(or_(Payment.kind.in_(TAKEN_AHEAD) & (Payment.on >= first), Payment.amount_minor - spent - back != 0))
    )
    return read_rows(session, of_customer(asked, Payment.customer_id).order_by(Payment.id))


def _allocated_by(last: date) -> ScalarSelect[Any]:
    asked = select(func.coalesce(func.sum(Allocation.amount_minor), 0))
    of_payment = asked.where(Allocation.payment_id == Payment.id, Allocation.on <= last)
    return of_payment.correlate(Payment).scalar_subquery()


def _given_back_by(last: date) -> ScalarSelect[Any]:
    """What later lines took back; they belong to the job of what they take back."""
    later = aliased(Payment)
    asked = select(func.coalesce(-func.sum(later.amount_minor), 0))
    of_payment = asked.where(later.job_id == Payment.job_id, later.reverses_id == Payment.id, later.on <= last)
    return of_payment.correlate(Payment).scalar_subquery()


def list_flat_bad_debts(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Debt written off and recovered on these days, each with the tax in it; four statements."""
    rows = list(read_rows(session, _bad_debts(first, last)))
    papers = {row["invoice_id"] for row in rows}
    standings = payer_standings(session, papers)
    billed = _billed(session, papers)
    for row in rows:
        tax = _tax_in(row, standings[row["invoice_id"]], *billed[row["invoice_id"]])
        yield {**row, "tax": tax}


def _bad_debts(first: date, last: date) -> AnySelect:
    asked = (
        select(
            Allocation.id.label("allocation_id"),
            *(
                Allocation.on,
                Payment.kind,
                Allocation.payment_id,
                Allocation.invoice_id,
                Invoice.job_id,
                Payment.reason,
            ),
            Invoice.number.label("invoice_number"),
            Job.number.label("job_number"),
            Allocation.customer_id.label("recorded_id"),
            Allocation.amount_minor.label("amount"),
        )
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .join(Job, Job.id == Invoice.job_id)
        .where(Payment.kind.in_(BAD_DEBT_KINDS), Allocation.on.between(first, last))
    )
    return of_customer(asked, Allocation.customer_id).order_by(Allocation.id)


def _billed(session: Session, papers: set[int]) -> dict[int, tuple[int, int]]:
    """Total and tax of each of these papers, less its credit notes."""
    whole = func.coalesce(Invoice.credits_id, Invoice.id)
    asked = select(whole, func.sum(Invoice.gross_minor), func.sum(Invoice.tax_minor)).group_by(whole)
    rows = session.execute(asked.where(or_(Invoice.id.in_(papers), Invoice.credits_id.in_(papers))))
    return {key: (int(gross), int(tax)) for key, gross, tax in rows}


def _tax_in(row: FlatValues, payers: list[PayerStanding], gross_minor: int, tax_minor: int) -> int:
    place = next((at for at, one in enumerate(payers) if one.customer_id == row["recorded_id"]), None)
    if place is None:
        return 0
    shares = [(one.words, one.share_minor) for one in payers]
    return tax_in_debt(row["amount"], place, shares, gross_minor, tax_minor)

"""The rows of what was paid: payments, what they were set against, money held, bad debts."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.queries.money.as_of import open_after
from shopbook.queries.money.invoices import PayerStanding, payer_standings
from shopbook.queries.money.payments import PREPAID, money_of
from shopbook.queries.money.set_lines import list_set_lines
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
    return read_rows(session, of_customer(asked, Payment.customer_id).order_by(Payment.on, Payment.id))


def list_flat_allocations(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Allocations that count on these days; two statements.

    A payment of Nov 29 that is entered on Dec 2 counts on Nov 29, as in what was owed on Nov 30. An allocation counts
    no later than it was entered, so only payments with one entered from the first day on are read.
    """
    touched = select(Allocation.payment_id).where(Allocation.on >= first)
    counting = _counting_days(session, Allocation.payment_id.in_(touched))
    asked = (
        select(
            Allocation.id.label("allocation_id"),
            *(Allocation.payment_id, Allocation.invoice_id, Allocation.reason),
            Allocation.on.label("entered_on"),
            Payment.kind.label("payment_kind"),
            Invoice.kind.label("invoice_kind"),
            Invoice.number.label("invoice_number"),
            Allocation.amount_minor.label("amount"),
        )
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .where(Allocation.on >= first)
    )
    for row in read_rows(session, of_customer(asked, Allocation.customer_id).order_by(Allocation.on, Allocation.id)):
        on = counting[row["allocation_id"]]
        if first <= on <= last:
            yield {**row, "on": on}


def _counting_days(session: Session, where: ColumnElement[bool]) -> dict[int, date]:
    """By allocation, the day on which it counts; one statement."""
    return {line.allocation_id: line.counts_on for line in list_set_lines(session, where)}


def list_flat_deposits(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Deposits and securities of these days, and other money of which something was held on the last; three statements.

    200.00 held on Nov 3, 150.00 set against an invoice on Nov 20: of November 200.00, 150.00 and 50.00 held; of the
    days up to Nov 10 200.00, 0.00 and 200.00.
    """
    asked = _taken_ahead(first, last)
    keys = asked.with_only_columns(Payment.id)
    spent: dict[int, int] = defaultdict(int)
    for line in list_set_lines(session, Allocation.payment_id.in_(keys)):
        spent[line.payment_id] += line.amount_minor if line.counts_on <= last else 0
    back = _given_back(session, keys, last)
    for row in read_rows(session, of_customer(asked, Payment.customer_id).order_by(Payment.on, Payment.id)):
        key = row["payment_id"]
        held = row["amount"] - spent[key] - back[key]
        if held or (row["kind"] in TAKEN_AHEAD and row["on"] >= first):
            yield {**row, "allocated": spent[key], "given_back": back[key], "held": held}


def _taken_ahead(first: date, last: date) -> AnySelect:
    """Money that came in by the last day, on a job that was open after it or came in the days that were asked for."""
    is_open = or_(open_after(last), Payment.on >= first)
    return (
        select(
            Payment.id.label("payment_id"),
            *(Payment.number, Payment.kind, Payment.on, Payment.job_id),
            Job.number.label("job_number"),
            Payment.amount_minor.label("amount"),
        )
        .outerjoin(Job, Job.id == Payment.job_id)
        .where(Payment.amount_minor > 0, Payment.on <= last, Payment.kind.in_((*PREPAID, "security")), is_open)
    )


def _given_back(session: Session, keys: AnySelect, last: date) -> dict[int, int]:
    """What later lines took back of these payments by a day; they have the job of what they take back."""
    later, first = aliased(Payment), aliased(Payment)
    asked = (
        select(Payment.id, func.sum(later.amount_minor))
        .join(later, later.job_id == Payment.job_id)
        .join(first, first.id == later.reverses_id)
        .where(Payment.id == money_of(later, first))
    )
    found: dict[int, int] = defaultdict(int)
    rows = session.execute(asked.where(Payment.id.in_(keys), later.on <= last).group_by(Payment.id))
    for key, amount in rows:
        found[key or 0] = -int(amount)
    return found


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
        .where(Payment.kind.in_(BAD_DEBT_KINDS), Payment.on.between(first, last))
    )
    return of_customer(asked, Allocation.customer_id).order_by(Payment.on, Allocation.id)


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

"""The payers of a month with their figures; a fixed number of statements."""

from collections import defaultdict
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Allocation, Invoice, InvoicePayer, Payment
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payers import NOBODY, payer_names
from shopbook.queries.money.set_lines import list_set_lines
from shopbook.trade.results.payers import PayerMonth, days_to_pay

Sums = defaultdict[int | None, int]


def list_payers(session: Session, first: date, last: date) -> list[PayerMonth]:
    """Everybody who was invoiced, paid or was overdue from `first` to `last`, by name; with tax.

    A share counts on the day of its paper, a rest that moved on the day it moved; overdue is what was past its due day
    at the end of the last day.
    """
    invoiced, paid, overdue = _invoiced(session, first, last), _paid(session, first, last), _overdue(session, last)
    waited = _waited(session, first, last)
    ids = {key for sums in (invoiced, paid, overdue) for key, amount in sums.items() if amount} | set(waited)
    names = payer_names(session, {key for key in ids if key})
    rows = [
        PayerMonth(
            key, names.get(key or 0, NOBODY), invoiced[key], paid[key], overdue[key], days_to_pay(waited.get(key, ()))
        )
        for key in ids
    ]
    return sorted(rows, key=lambda row: (row.name.casefold(), row.customer_id or 0))


def _overdue(session: Session, last: date) -> Sums:
    sums: Sums = defaultdict(int)
    for line in list_owed(session, last):
        sums[line.customer_id] += line.owed_minor if line.due_on < last else 0
    return sums


def _invoiced(session: Session, first: date, last: date) -> Sums:
    sums: Sums = defaultdict(int)
    shares = select(InvoicePayer.whose_id, func.sum(InvoicePayer.share_minor)).group_by(InvoicePayer.whose_id)
    issued = shares.join(Invoice, Invoice.id == InvoicePayer.invoice_id).where(
        Invoice.issued_on.between(first, last), InvoicePayer.on.is_(None)
    )
    moved = shares.where(InvoicePayer.on.between(first, last))
    for asked in (issued, moved):
        for key, amount in session.execute(asked):
            sums[key] += int(amount)
    return sums


def _paid(session: Session, first: date, last: date) -> Sums:
    """Money that came in less what went back, without securities."""
    asked = select(Payment.whose_id, func.sum(Payment.amount_minor)).group_by(Payment.whose_id)
    asked = asked.where(Payment.on.between(first, last), Payment.series == "receipt", Payment.kind != "security")
    return defaultdict(int, {key: int(amount) for key, amount in session.execute(asked)})


def _waited(session: Session, first: date, last: date) -> dict[int | None, list[tuple[int, int]]]:
    """(days, amount) of the money that was set against invoices in the span, by payer."""
    inside = (Allocation.on >= first) & (Payment.on <= last)
    sums: dict[tuple[int, int], int] = defaultdict(int)
    days: dict[tuple[int, int], int] = {}
    for line in list_set_lines(session, inside):
        if line.is_money and first <= line.counts_on <= last:
            key = line.payment_id, line.paper_id
            sums[key] += line.amount_minor
            days.setdefault(key, (line.counts_on - line.issued_on).days)
    asked = select(Payment.id, Payment.whose_id).where(Payment.id.in_({payment for payment, _ in sums}))
    whose = {payment: who for payment, who in session.execute(asked)}
    found: dict[int | None, list[tuple[int, int]]] = defaultdict(list)
    for key, amount in sums.items():
        if amount > 0:
            found[whose[key[0]]].append((days[key], amount))
    return found

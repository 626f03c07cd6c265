"""Who paid what in a month: invoiced, paid, overdue, and how many days an invoice waited for its money."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.measures.amounts import divide_half_away


class PayerOrder(StrEnum):
    """By what the payers can be sorted: the name from A, figures from the highest."""

    NAME = "name"
    INVOICED = "invoiced"
    PAID = "paid"
    OVERDUE = "overdue"
    DAYS = "days"


@dataclass(frozen=True, slots=True)
class PayerMonth:
    """One payer in a month, with tax; overdue as of its last day; days None where nothing of an invoice was paid."""

    customer_id: int | None
    name: str
    invoiced_minor: int = 0
    paid_minor: int = 0
    overdue_minor: int = 0
    days_to_pay: int | None = None


def days_to_pay(parts: Iterable[tuple[int, int]]) -> int | None:
    """The mean number of days from invoice to money, by amount, of (days, amount); money before the invoice is 0 days.

    600.00 after 10 days and 300.00 after 40: 20 days.
    """
    kept = [(max(0, days), amount) for days, amount in parts if amount > 0]
    whole = sum(amount for _, amount in kept)
    return divide_half_away(sum(days * amount for days, amount in kept), whole) if whole else None


def sort_payers(rows: Iterable[PayerMonth], order: PayerOrder) -> list[PayerMonth]:
    """The rows by one figure, the highest first (without one last), equals and names from A to Z."""
    by_name = sorted(rows, key=lambda row: (row.name.casefold(), row.customer_id or 0))
    if order is PayerOrder.NAME:
        return by_name
    return sorted(by_name, key=lambda row: -_figure(row, order))


def _figure(row: PayerMonth, order: PayerOrder) -> int:
    figures = {
        PayerOrder.INVOICED: row.invoiced_minor,
        PayerOrder.PAID: row.paid_minor,
        PayerOrder.OVERDUE: row.overdue_minor,
        PayerOrder.DAYS: -1 if row.days_to_pay is None else row.days_to_pay,
    }
    return figures[order]

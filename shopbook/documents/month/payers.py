"""The payers of a month in words."""

from collections.abc import Callable, Sequence

from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.results.payers import PayerMonth

HEADS = ("Payer", "Invoiced", "Paid", "Overdue", "Days to pay")
NOTE = "With tax. Overdue is as of the last day. Days to pay are counted from the invoice, by amount."


def sections(payers: Sequence[PayerMonth], money: Callable[[int], str]) -> tuple[Section]:
    """One section in the order given, with the sums of all payers."""
    total = (
        money(sum(row.invoiced_minor for row in payers)),
        money(sum(row.paid_minor for row in payers)),
        money(sum(row.overdue_minor for row in payers)),
        "",
    )
    return (
        Section(
            code="payers",
            title="Payers",
            rows=tuple(_row(row, money) for row in payers),
            total=SectionRow("total", "Total", total),
            heads=HEADS,
            note=NOTE,
        ),
    )


def _row(row: PayerMonth, money: Callable[[int], str]) -> SectionRow:
    days = "" if row.days_to_pay is None else str(row.days_to_pay)
    figures = (money(row.invoiced_minor), money(row.paid_minor), money(row.overdue_minor), days)
    return SectionRow(f"payer_{row.customer_id or ''}", row.name, figures)

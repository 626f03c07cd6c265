"""What was paid in a span, by means, in words."""

from collections.abc import Callable

from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS, PayMeans
from shopbook.trade.results.paid import Paid, PaidRow

Money = Callable[[int], str]
Say = Callable[[str], str]


def sections(paid: Paid, money: Money, say: Say = str) -> tuple[Section, Section]:
    """By means (came in, refunds, total), and the same total by kind of payment."""
    order = {means: place for place, means in enumerate(MEANS_WORDS)}
    rows = sorted(paid.rows, key=lambda row: order.get(PayMeans(row.means), len(order)))
    by_means = Section(
        code="paid",
        title="Paid, by means",
        rows=tuple(_row(row.means, say(MEANS_WORDS.get(PayMeans(row.means), "Other")), row, money) for row in rows),
        total=_row("total", "Total", paid.total, money),
        heads=("", "Received", "Refunded", "Total"),
        note="Returned and reversed payments count as refunded. Security deposits are included.",
    )
    by_kind = Section(
        code="paid_kinds",
        title="Paid, by kind",
        rows=tuple(
            SectionRow(kind, say(KIND_WORDS.get(kind, kind)), (money(amount),)) for kind, amount in paid.by_kind
        ),
        total=SectionRow("total", "Total", (money(sum(amount for _, amount in paid.by_kind)),)),
        heads=("", "Total"),
    )
    return by_means, by_kind


def _row(code: str, label: str, row: PaidRow, money: Money) -> SectionRow:
    return SectionRow(code, label, (money(row.came_minor), money(row.back_minor), money(row.total_minor)))

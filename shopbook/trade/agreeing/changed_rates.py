"""A rate of tax that changed between approval and supply: the tax follows the tax point, and that is no extra.

Prices without tax keep their net. A price approved with tax in it keeps its total (the shop bears the change), or, as
the shop's setting says, its net. What was paid on account keeps the rate of its own day (UK VAT Act 1994, s. 89).
Approved 800.64 + 20 % = 960.77, deposit 166.67 + 33.33, supply at 22 %: rest 633.97 + 139.47, with the deposit 973.44,
"VAT 22 %: +12.67".
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.billing import Bill, BillLine, TaxRate, TaxTotal, make_bill
from shopbook.trade.billing.billable import with_tax
from shopbook.trade.pricing import QuoteSum, share_of


@dataclass(frozen=True, slots=True)
class ChangedTax:
    """A kind of tax at another rate than approved; `added_minor` is what that adds to the total, below zero if less.

    None where the total stays as approved with tax in it.
    """

    rate: TaxRate
    before_thousandths: int
    added_minor: int | None


def is_changed(approved: Bill, rates: Sequence[TaxRate]) -> bool:
    """Whether a kind of tax of the approved bill has another rate among these."""
    known = {rate.code: rate.rate_thousandths for rate in rates}
    return any(known.get(row.rate.code) != row.rate.rate_thousandths for row in approved.taxes)


def at_nets(lines: Sequence[BillLine], discount: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """Lines that hold their tax at the net that they were approved at, the discount beside them counted in."""
    whole = make_bill([*lines, *discount], rates, includes_tax=True).lines[: len(lines)]
    return [replace(line, amount_minor=line.net_minor) for line in whole]


def room_at(approved: QuoteSum, lines: Sequence[BillLine], rates: Sequence[TaxRate], *, includes_tax: bool) -> int:
    """How far an estimate may pass its price, with tax: as approved, in proportion to the price at these rates."""
    room = approved.most_minor - approved.taken.gross_minor
    if not room:
        return 0
    return share_of(room, make_bill(lines, rates, includes_tax=includes_tax).gross_minor, approved.taken.gross_minor)


def changed_taxes(bill: Bill, approved: Mapping[int, Mapping[str, TaxRate]]) -> list[ChangedTax]:
    """The kinds of tax of a bill that were approved at another rate; `approved` has, by line key, the rates by code."""
    found = []
    for total in bill.taxes:
        nets: dict[int, int] = {}
        for line in (line for line in bill.lines if line.tax_code == total.rate.code):
            before = approved.get(line.key, {}).get(line.tax_code, total.rate)
            nets[before.rate_thousandths] = nets.get(before.rate_thousandths, 0) + line.net_minor
        olds = [rate for rate in nets if rate != total.rate.rate_thousandths]
        if olds:
            found.append(_changed(total, nets, olds[0], includes_tax=bill.includes_tax))
    return [row for row in found if row.added_minor != 0]


def _changed(total: TaxTotal, nets: Mapping[int, int], before: int, *, includes_tax: bool) -> ChangedTax:
    if includes_tax:
        return ChangedTax(total.rate, before, None)
    added = total.tax_minor - sum(with_tax(net, rate) - net for rate, net in nets.items())
    return ChangedTax(total.rate, before, added)

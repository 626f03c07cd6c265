"""What of a job may be billed: what was agreed, and what passes it only as far as the shop's allowance goes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.billing import Bill, BillLine, TaxRate, fall_under, make_bill
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.pricing import Allowance, Beyond, beyond_agreed


@dataclass(frozen=True, slots=True)
class Billable:
    """What is billed now, and what waits.

    `held` names each thing that waits for approval with what it comes to, without tax or with it as the lines are.
    """

    bill: Bill
    held: tuple[tuple[str, int], ...]
    beyond: Beyond


def bill_within(
    lines: Sequence[BillLine],
    agreed_minor: int,
    rates: Sequence[TaxRate],
    *,
    includes_tax: bool = False,
    discount_minor: int = 0,
    allowance: Allowance | None = None,
    already_minor: int = 0,
) -> Billable:
    """The bill over what was agreed and as much beyond it as `agreed_minor` (with tax) and the allowance let in.

    `already_minor` (with tax) was invoiced before and counts against that limit.

    Lines that are not beyond are always billed. Raises RuleBroken as `make_bill` does.
    """

    def bill(kept: Sequence[BillLine]) -> Bill:
        return make_bill(kept, rates, includes_tax=includes_tax, discount_minor=discount_minor)

    asked = already_minor + bill(lines).gross_minor
    room = agreed_minor + (allowance or Allowance()).of(agreed_minor) - already_minor
    kept = {place: line for place, line in enumerate(lines) if not line.is_beyond}
    held: list[tuple[str, int]] = []

    def fits(line: BillLine) -> bool:
        return bill([*kept.values(), line]).gross_minor <= room

    for place, line in enumerate(lines):
        if line.is_beyond:
            most = _largest_fit(line, fits)
            if most:
                kept[place] = line.cut_to(most)
            if most < line.amount_minor:
                held.append((line.words, line.amount_minor - most))
    ordered = [kept[place] for place in sorted(kept)]
    return Billable(bill(ordered), tuple(held), beyond_agreed(agreed_minor, asked, allowance))


def _largest_fit(line: BillLine, fits: Callable[[BillLine], bool]) -> int:
    """The largest amount of a line that fits: all of it, part of it where it can be cut, or nothing."""

    def tried(amount: int) -> bool:
        return fits(replace(line, amount_minor=amount))

    if tried(line.amount_minor):
        return line.amount_minor
    low, high = 0, line.amount_minor if line.can_be_cut else 0
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if tried(middle) else (low, middle - 1)
    return low


def judged(lines: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """The lines with their kinds of tax: what was agreed is judged by itself, what passes it with all the rest.

    So a part that nobody agreed to and that waits does not put tax on labor that was agreed without one.
    """
    of_agreed = iter(fall_under([line for line in lines if not line.is_beyond], rates))
    of_all = fall_under(lines, rates)
    return [whole if line.is_beyond else next(of_agreed) for line, whole in zip(lines, of_all, strict=True)]


def with_tax_inside(lines: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """Lines priced without tax as lines that hold it, each rounded for itself.

    For a job whose quotes were typed in both ways: one bill has one way, and a price said with its tax must hold.
    """
    known = {rate.code: rate.rate_thousandths for rate in rates}
    return [
        replace(line, amount_minor=with_tax(line.amount_minor, known.get(line.tax_code, 0)))
        for line in fall_under(lines, rates)
    ]


def with_tax(net_minor: int, rate_thousandths: int) -> int:
    """A net with its tax, rounded for itself."""
    return net_minor + divide_half_away(net_minor * rate_thousandths, WHOLE_RATE)

"""What each payer approved to pay, what of a job is at the shop's risk, and what is held until it is approved.

Only beside another payer is approving the work not yet agreeing to pay: a customer who is the only payer approves both
at once. The customer's own share follows from the work that it approved and the split rule: only other payers are held.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial

from shopbook.trade.billing import Bill, BillLine, TaxRate, TaxTotal
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.measures.amounts import divide_half_away

Fits = Callable[[Sequence[BillLine]], bool]


def at_risk(shares: Mapping[str, int], approved: Mapping[str, int], billed: Mapping[str, int]) -> dict[str, int]:
    """With tax, by payer: for payers other than the customer, max(0, share − approved), while it is not invoiced.

    1,903.33 with an excess of 500.00 and nothing answered: 1,403.33; the insurer approves 1,403.33: 0; then the
    customer alone approves an extra of 97.50: 97.50. `shares` names only the other payers.
    """
    open_sums = {key: share - max(approved.get(key, 0), billed.get(key, 0)) for key, share in shares.items()}
    return {key: minor for key, minor in open_sums.items() if minor > 0}


def read_approval(amount_minor: int, share_minor: int, others_minor: int) -> int:
    """What an approval kept without three figures says that its payer pays.

    An amount equal to that day's share is the share; else it stands for the whole bill, and the share is the amount
    less the others' shares. Of 1,814.95 with an excess of 500.00: 1,314.95 is 1,314.95, and so is 1,814.95; 1,700.00 is
    1,200.00.
    """
    return amount_minor if amount_minor == share_minor else max(0, amount_minor - others_minor)


def keep_within(units: Sequence[Sequence[BillLine]], fits: Fits, fits_whole: Fits) -> list[BillLine]:
    """The lines that may be billed now, the units in their order, each as far as it `fits` with what is kept before it.

    A unit that does not fit whole (`fits_whole` leaves rounding out of account) is cut in proportion, and its rounding
    is put on its lines until no minor unit more fits; what is cut off keeps its line's key and is billed later. Lines
    beyond an approval stay: what they may come to was settled before, within the shop's allowance.
    """
    kept: list[BillLine] = []
    for unit in units:
        if fits_whole([*kept, *unit]) or all(line.is_beyond for line in unit):
            kept += unit
        else:
            kept += _most_of(unit, partial(_fits_after, fits, tuple(kept)))
    return kept


def _fits_after(fits: Fits, before: Sequence[BillLine], lines: Sequence[BillLine]) -> bool:
    return fits([*before, *lines])


def _most_of(unit: Sequence[BillLine], fits: Fits) -> list[BillLine]:
    whole = sum(abs(line.amount_minor) for line in unit)

    def cut(part: int) -> list[BillLine]:
        return [
            line if line.is_beyond else replace(line, amount_minor=divide_half_away(line.amount_minor * part, whole))
            for line in unit
        ]

    kept = cut(_largest(whole, lambda part: fits(cut(part))))
    for place, line in enumerate(unit):
        room = line.amount_minor - kept[place].amount_minor
        if room > 0 and any(one.amount_minor and not one.is_beyond for one in kept):
            kept[place] = _topped_up(kept, place, room, fits)
    return [line for line in kept if line.amount_minor]


def _topped_up(lines: Sequence[BillLine], place: int, room: int, fits: Fits) -> BillLine:
    def with_more(more: int) -> list[BillLine]:
        line = replace(lines[place], amount_minor=lines[place].amount_minor + more)
        return [*lines[:place], line, *lines[place + 1 :]]

    return with_more(_largest(room, lambda more: fits(with_more(more))))[place]


def _largest(most: int, fits: Callable[[int], bool]) -> int:
    """The largest number from zero to `most` that fits, by halving: what fits, fits smaller too."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle) else (low, middle - 1)
    return low


def add_bills(bills: Iterable[Bill]) -> Bill:
    """Several bills as one: their lines in order, their tax added up by kind, nothing rounded anew."""
    lines: list[BillLine] = []
    taxes: dict[str, TaxTotal] = {}
    for bill in bills:
        lines += bill.lines
        for row in bill.taxes:
            taxes[row.rate.code] = taxes[row.rate.code] + row if row.rate.code in taxes else row
    return Bill(tuple(lines), tuple(taxes.values()))


def at_rates(bill: Bill, rates: Mapping[str, TaxRate]) -> Bill:
    """A bill with the tax that its bases had at other rates: a payer's approval leaves out what a changed rate adds."""
    return replace(bill, taxes=tuple(_at_rate(row, rates.get(row.rate.code, row.rate)) for row in bill.taxes))


def _at_rate(row: TaxTotal, rate: TaxRate) -> TaxTotal:
    if rate.rate_thousandths == row.rate.rate_thousandths:
        return row
    return TaxTotal(rate, row.basis_minor, divide_half_away(row.basis_minor * rate.rate_thousandths, WHOLE_RATE))


def passed_by(after_minor: int, before_minor: int, approved_minor: int, slack_minor: int = 0) -> int:
    """By how much a payer would be billed past its approval, all with tax; zero where it asks for no new one.

    What was billed `before` needs no approval anew, and `slack_minor` of rounding passes nothing. Approved 960.00,
    billed 1,008.00: 48.00; approved 960.00 and billed 1,008.00 before: 0; 912.00: 0.
    """
    over = after_minor - max(approved_minor, before_minor)
    return over if over > slack_minor else 0

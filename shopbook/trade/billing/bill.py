"""A bill's sums: per kind of tax on the sum of its lines, with prices that hold the tax or not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest

from shopbook.trade.billing.falls import NOT_SET, fall_under
from shopbook.trade.billing.lines import WHOLE_RATE, BillLine, LineKind, TaxRate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out


@dataclass(frozen=True, slots=True)
class TaxTotal:
    """What falls under one kind of tax: its basis (net), its tax, and the tax by part where the rate has parts."""

    rate: TaxRate
    basis_minor: int
    tax_minor: int
    part_taxes_minor: tuple[int, ...] = ()

    @property
    def gross_minor(self) -> int:
        return self.basis_minor + self.tax_minor

    def __add__(self, other: "TaxTotal") -> "TaxTotal":
        """Both under the first one's rate; nothing is rounded anew."""
        parts = zip_longest(self.part_taxes_minor, other.part_taxes_minor, fillvalue=0)
        return TaxTotal(
            self.rate,
            self.basis_minor + other.basis_minor,
            self.tax_minor + other.tax_minor,
            tuple(one + more for one, more in parts),
        )

    def __neg__(self) -> "TaxTotal":
        parts = tuple(-part for part in self.part_taxes_minor)
        return TaxTotal(self.rate, -self.basis_minor, -self.tax_minor, parts)

    def __sub__(self, other: "TaxTotal") -> "TaxTotal":
        return self + -other


@dataclass(frozen=True, slots=True)
class Bill:
    """A finished bill; net, tax and gross are the sums of `taxes`, which stand in the order of the lines.

    Each line knows its net; where prices hold the tax the nets of one kind of tax sum to its basis.
    """

    lines: tuple[BillLine, ...]
    taxes: tuple[TaxTotal, ...]
    includes_tax: bool = False

    @property
    def net_minor(self) -> int:
        return sum(row.basis_minor for row in self.taxes)

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.taxes)

    @property
    def gross_minor(self) -> int:
        return self.net_minor + self.tax_minor

    @property
    def is_before_tax(self) -> bool:
        """Whether the shop has not set its tax yet and prices do not hold it: then `gross_minor` is said "plus tax"."""
        return not self.includes_tax and any(row.rate.code == NOT_SET.code for row in self.taxes)

    def places_under(self, tax_code: str) -> list[int]:
        """Places of the lines under one kind of tax, without the discounts that come off the whole bill."""
        return [at for at, row in enumerate(self.lines) if row.tax_code == tax_code and not row.is_whole_bill]

    @property
    def net_by_kind(self) -> dict[LineKind, int]:
        """Net by kind of line; sums to `net_minor`."""
        sums: dict[LineKind, int] = {}
        for row in self.lines:
            sums[row.kind] = sums.get(row.kind, 0) + row.net_minor
        return sums

    @property
    def savings(self) -> list[BillLine]:
        """What more panels save, one line a saving however many kinds of tax it is spread over, as prices are."""
        found: dict[tuple[int, str], BillLine] = {}
        for line in self.lines:
            if line.kind is LineKind.SAVING:
                same = found.get((line.key, line.words))
                so_far = same.amount_minor if same else 0
                found[line.key, line.words] = replace(line, amount_minor=so_far + line.amount_minor)
        return list(found.values())

    @property
    def lines_minor(self) -> int:
        """The sum of the lines as printed, before anything on the whole bill (EN 16931 BT-106 where net)."""
        return sum(row.amount_minor for row in self.lines if not row.is_whole_bill)

    @property
    def allowances_minor(self) -> int:
        """What comes off the whole bill, as a positive sum (BT-107)."""
        return -sum(row.amount_minor for row in self.lines if row.is_whole_bill and row.amount_minor < 0)

    @property
    def charges_minor(self) -> int:
        """What is charged on the whole bill (BT-108)."""
        return sum(row.amount_minor for row in self.lines if row.is_whole_bill and row.amount_minor > 0)


@dataclass(slots=True)
class _Sums:
    places: list[int] = field(default_factory=list)
    amount: int = 0


def make_bill(
    lines: Sequence[BillLine],
    rates: Sequence[TaxRate],
    *,
    includes_tax: bool = False,
    discount_minor: int = 0,
    discount_words: str = "Discount",
    discount_key: int = 0,
) -> Bill:
    """The bill over `lines` at `rates`; `discount_minor` (not negative) comes off the whole bill.

    Tax is worked out once per kind of tax on the sum of its lines, half away from zero (EN 16931 BR-CO-17 with the
    rounding of its printed examples). With `includes_tax` the sum per kind of tax is fixed and the tax is taken out of
    it, so that net and tax always make up the printed prices. The discount is spread over the kinds of tax by their
    sums, the last unit to the largest. Raises RuleBroken for an unknown kind of tax or a discount over the sum.
    """
    lines = fall_under(lines, rates)
    known = {rate.code: rate for rate in rates}
    for line in lines:
        if line.tax_code not in known:
            raise RuleBroken(f"Choose a tax rate for “{line.words}”. There is none called “{line.tax_code}”.")
    whole = [*lines, *_spread_discount(lines, discount_minor, discount_words, discount_key)]
    sums = _sum_by_code(whole)
    taxes = tuple(_tax_total(known[code], entry.amount, includes_tax) for code, entry in sums.items())
    return Bill(_with_nets(whole, sums, taxes, includes_tax), taxes, includes_tax)


def issued_bill(lines: Sequence[BillLine], taxes: Sequence[TaxTotal]) -> Bill:
    """The bill as it was issued, from its kept net lines and tax totals, nothing worked out anew.

    Discounts count as on the whole bill. Raises ValueError if the lines of a kind of tax do not sum to its basis.
    """
    sums = _sum_by_code(lines)
    for total in taxes:
        if total.basis_minor != (sums[total.rate.code].amount if total.rate.code in sums else 0):
            raise ValueError(f"the lines under {total.rate.code} do not sum to its basis")
    kept = (
        replace(
            line,
            net_minor=line.amount_minor,
            is_whole_bill=line.is_whole_bill or line.kind is LineKind.DISCOUNT,
        )
        for line in lines
    )
    return Bill(tuple(kept), tuple(taxes))


def with_taxes(bill: Bill, taxes: Sequence[TaxTotal]) -> Bill:
    """The lines of a bill under other totals of its kinds of tax, in their order; the nets sum to the new bases."""
    sums = _sum_by_code(bill.lines)
    return Bill(_with_nets(bill.lines, sums, tuple(taxes), bill.includes_tax), tuple(taxes), bill.includes_tax)


def _sum_by_code(lines: Sequence[BillLine]) -> dict[str, _Sums]:
    sums: dict[str, _Sums] = {}
    for place, line in enumerate(lines):
        entry = sums.setdefault(line.tax_code, _Sums())
        entry.places.append(place)
        entry.amount += line.amount_minor
    return sums


def _spread_discount(lines: Sequence[BillLine], discount_minor: int, words: str, key: int) -> list[BillLine]:
    if discount_minor < 0:
        raise RuleBroken("Enter the discount without a minus sign.", "discount")
    if discount_minor == 0:
        return []
    by_code = {code: max(entry.amount, 0) for code, entry in _sum_by_code(lines).items()}
    if discount_minor > sum(line.amount_minor for line in lines):
        raise RuleBroken("The discount is more than the total. Enter a smaller amount.", "discount")
    parts = share_out(discount_minor, list(by_code.values()))
    return [
        BillLine(LineKind.DISCOUNT, words, -part, code, is_whole_bill=True, key=key)
        for code, part in zip(by_code, parts, strict=True)
        if part
    ]


def _tax_total(rate: TaxRate, amount: int, includes_tax: bool) -> TaxTotal:
    if includes_tax:
        tax = divide_half_away(amount * rate.rate_thousandths, WHOLE_RATE + rate.rate_thousandths)
        parts = share_out(tax, [part.rate_thousandths for part in rate.parts])
        return TaxTotal(rate, amount - tax, tax, tuple(parts))
    parts = [divide_half_away(amount * part.rate_thousandths, WHOLE_RATE) for part in rate.parts]
    tax = sum(parts) if parts else divide_half_away(amount * rate.rate_thousandths, WHOLE_RATE)
    return TaxTotal(rate, amount, tax, tuple(parts))


def _with_nets(
    lines: Sequence[BillLine], sums: Mapping[str, _Sums], taxes: Sequence[TaxTotal], includes_tax: bool
) -> tuple[BillLine, ...]:
    nets = [line.amount_minor for line in lines]
    if includes_tax:
        for total, entry in zip(taxes, sums.values(), strict=True):
            over = WHOLE_RATE + total.rate.rate_thousandths
            for place in entry.places:
                nets[place] = divide_half_away(lines[place].amount_minor * WHOLE_RATE, over)
            largest = max(entry.places, key=lambda place: (abs(lines[place].amount_minor), -place))
            nets[largest] += total.basis_minor - sum(nets[place] for place in entry.places)
    return tuple(replace(line, net_minor=net) for line, net in zip(lines, nets, strict=True))


def extend_price(quantity_thousandths: int, price_minor: int, per_thousandths: int = 1000) -> int:
    """Quantity times price, rounded once: `price_minor` is for `per_thousandths` of the unit.

    A price finer than the minor unit is given for more of the unit: 0.0088 each is 880 per 1000.000.
    """
    return divide_half_away(quantity_thousandths * price_minor, per_thousandths)


def discount_of(amount_minor: int, permille: int) -> int:
    """A discount given as tenths of a percent of `amount_minor`; RuleBroken outside 0 to 100 percent."""
    if not 0 <= permille <= 1000:
        raise RuleBroken("Enter a discount from 0 to 100 percent.", "discount")
    return divide_half_away(amount_minor * permille, 1000)


def cash_rounding(due_minor: int, step_minor: int = 5) -> int:
    """What is added to (or taken off) a sum paid in cash where the smallest coin is `step_minor`.

    A difference of the payment, never a line of the bill: tax stays on the exact sum. `step_minor` of 1 rounds nothing.
    """
    return divide_half_away(due_minor, step_minor) * step_minor - due_minor


def due_minor(gross_minor: int, prepaid_minor: int = 0, rounding_minor: int = 0) -> int:
    """What is still to pay: with tax, less prepaid, plus rounding (EN 16931 BR-CO-16)."""
    return gross_minor - prepaid_minor + rounding_minor

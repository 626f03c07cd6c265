"""The priced lines of a quoted group: hours, materials, parts, colour, sublet work and fees."""

from collections.abc import Mapping
from dataclasses import dataclass

from shopbook.trade.amounts import divide_half_away
from shopbook.trade.billing import BillLine, LineKind, extend_price
from shopbook.trade.errors import RuleBroken

ANY_PAYER = "any"


@dataclass(frozen=True, slots=True)
class QuoteRates:
    """What the shop charges on the day: an hour by (skill, kind of payer), materials a paint hour, markups.

    `labour_minor` falls back to the payer kind "any". `tax_codes` gives the kind of tax for each kind of line.
    Markups are tenths of a percent on cost.
    """

    labour_minor: Mapping[tuple[str, str], int]
    tax_codes: Mapping[LineKind, str]
    materials_per_paint_hour_minor: int
    materials_markup_permille: int = 0
    parts_markup_permille: int = 0
    sublet_markup_permille: int = 0

    def hour_minor(self, skill: str, payer_kind: str) -> int:
        """What an hour is sold for; RuleBroken if the shop has set none."""
        for key in ((skill, payer_kind), (skill, ANY_PAYER)):
            if key in self.labour_minor:
                return self.labour_minor[key]
        raise RuleBroken(f"Set what an hour of {skill} is sold for, in Settings, before this is priced.", "rate")

    def tax_code(self, kind: LineKind) -> str:
        """The kind of tax of a kind of line; RuleBroken if the shop has set none."""
        if kind not in self.tax_codes:
            raise RuleBroken(f"Choose the kind of tax for {kind.value} in Settings.", "tax_code")
        return self.tax_codes[kind]


def price_labour(words: str, skill: str, minutes: int, payer_kind: str, rates: QuoteRates) -> BillLine:
    """Man-minutes of a skill at its rate for the kind of payer, rounded once."""
    if minutes < 0:
        raise RuleBroken("Hours are not below nought.", "minutes")
    rate = rates.hour_minor(skill, payer_kind)
    amount = divide_half_away(minutes * rate, 60)
    code = rates.tax_code(LineKind.LABOUR)
    return BillLine(LineKind.LABOUR, words, amount, code, skill=skill, minutes=minutes, rate_minor=rate)


def price_materials(
    words: str, paint_minutes: int, costs_minor: Mapping[str, int | None], rates: QuoteRates
) -> BillLine | None:
    """Materials of a group: at cost with the markup where every one has a price, else by the paint hour.

    `costs_minor` holds the planned cost of each material, None where the shelf has no price yet. One material without
    a price makes the whole group go by the paint hour, so that an unpriced shelf never quotes nothing. None if there
    is neither material nor paint work. Raises RuleBroken if the sum would be nought all the same.
    """
    if not paint_minutes and not costs_minor:
        return None
    code = rates.tax_code(LineKind.MATERIALS)
    known = [cost for cost in costs_minor.values() if cost]
    if costs_minor and len(known) == len(costs_minor):
        amount = marked_up(sum(known), rates.materials_markup_permille)
        return BillLine(LineKind.MATERIALS, words, amount, code, why="at the shelf's prices")
    by_hour = divide_half_away(paint_minutes * rates.materials_per_paint_hour_minor, 60)
    amount = max(by_hour, marked_up(sum(known), rates.materials_markup_permille))
    if amount <= 0:
        raise RuleBroken("Set a price for these materials, or materials per paint hour in Settings.", "materials")
    return BillLine(LineKind.MATERIALS, words, amount, code, why="by the paint hour: not every material has a price")


def price_part(
    words: str,
    cost_minor: int,
    rates: QuoteRates,
    *,
    quantity_thousandths: int = 1000,
    price_minor: int | None = None,
    kind: LineKind = LineKind.PART,
) -> BillLine:
    """A part (or the colour bought for the car): cost of one with the shop's markup, or the price typed for one."""
    if quantity_thousandths <= 0 or cost_minor < 0 or (price_minor or 0) < 0:
        raise RuleBroken("A part has a quantity above nought and a cost not below it.", "part")
    each = marked_up(cost_minor, rates.parts_markup_permille) if price_minor is None else price_minor
    why = "cost and markup" if price_minor is None else "typed"
    return BillLine(kind, words, extend_price(quantity_thousandths, each), rates.tax_code(kind), why=why)


def price_sublet(words: str, cost_minor: int, rates: QuoteRates, price_minor: int | None = None) -> BillLine:
    """Work that another shop does: its cost with the shop's markup, or the price typed."""
    if cost_minor < 0 or (price_minor or 0) < 0:
        raise RuleBroken("A cost is not below nought.", "sublet")
    amount = marked_up(cost_minor, rates.sublet_markup_permille) if price_minor is None else price_minor
    why = "cost and markup" if price_minor is None else "typed"
    return BillLine(LineKind.SUBLET, words, amount, rates.tax_code(LineKind.SUBLET), why=why)


def price_fee(words: str, amount_minor: int, rates: QuoteRates) -> BillLine:
    """A fee as the shop sets it, such as disposal or storage."""
    if amount_minor < 0:
        raise RuleBroken("A fee is not below nought; give a discount instead.", "fee")
    return BillLine(LineKind.FEE, words, amount_minor, rates.tax_code(LineKind.FEE), why="typed")


def marked_up(cost_minor: int, markup_permille: int) -> int:
    """Cost with a markup in tenths of a percent of the cost, rounded once."""
    return cost_minor + divide_half_away(cost_minor * markup_permille, 1000)

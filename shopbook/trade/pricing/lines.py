"""The priced lines of a quoted group: hours, materials, parts, colour, sublet work and fees."""

from collections.abc import Mapping
from dataclasses import dataclass

from shopbook.trade.billing import BillLine, LineKind, extend_price
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.pricing.materials import ANYBODY, MaterialsRates, PaintWork, marked_up, materials_price


@dataclass(frozen=True, slots=True)
class QuoteRates:
    """What the shop charges on the day: an hour by (skill, kind of payer), paint and materials, markups.

    `labour_minor` falls back to the payer kind "any". `tax_codes` gives the kind of tax for each kind of line.
    Markups are tenths of a percent on cost.
    """

    labour_minor: Mapping[tuple[str, str], int]
    tax_codes: Mapping[LineKind, str]
    materials: MaterialsRates
    parts_markup_permille: int = 0
    sublet_markup_permille: int = 0

    @property
    def door_rate_minor(self) -> int:
        """The hourly rate of body work for a private customer; zero until it is set."""
        return hour_of(self.labour_minor, Skill.BODY, CustomerKind.PRIVATE)

    def hour_minor(self, skill: str, payer_kind: str) -> int:
        """The hourly rate; RuleBroken if the shop has set none."""
        hour = hour_of(self.labour_minor, skill, payer_kind, otherwise=-1)
        if hour >= 0:
            return hour
        raise RuleBroken(f"Set the hourly rate for {skill} work in Settings, then price this.", "rate")

    def tax_code(self, kind: LineKind) -> str:
        """The kind of tax of a kind of line; RuleBroken if the shop has set none."""
        if kind not in self.tax_codes:
            raise RuleBroken(f"Choose the tax for {tax_words(kind)} in Settings.", "tax_code")
        return self.tax_codes[kind]


def tax_words(kind: LineKind) -> str:
    """What a kind of line is called where its tax is asked for, to be said by country."""
    return {LineKind.LABOUR: "{labour}", LineKind.COLOUR: "mixed paint", LineKind.SUBLET: "sublet work"}.get(kind, kind)


def hour_of(labour_minor: Mapping[tuple[str, str], int], skill: str, payer_kind: str, otherwise: int = 0) -> int:
    """What an hour of a skill is sold for to a kind of payer, or to anybody; `otherwise` where no rate is set."""
    return labour_minor.get((skill, payer_kind), labour_minor.get((skill, ANYBODY), otherwise))


def has_own_hour(labour_minor: Mapping[tuple[str, str], int], payer_kind: str) -> bool:
    """Whether an hour of any skill is sold to this kind of payer at another rate than to anybody.

    A private person's rate is the door rate itself, which the list goes by.
    """
    own = {skill: rate for (skill, payer), rate in labour_minor.items() if payer == payer_kind}
    is_private = payer_kind == CustomerKind.PRIVATE
    return not is_private and any(rate != labour_minor.get((skill, ANYBODY)) for skill, rate in own.items())


def price_labour(words: str, skill: str, minutes: int, payer_kind: str, rates: QuoteRates) -> BillLine:
    """Man-minutes of a skill at its rate for the kind of payer, rounded once."""
    if minutes < 0:
        raise RuleBroken("Enter hours of zero or more, for example 1.5.", "minutes")
    rate = rates.hour_minor(skill, payer_kind)
    amount = divide_half_away(minutes * rate, 60)
    code = rates.tax_code(LineKind.LABOUR)
    return BillLine(LineKind.LABOUR, words, amount, code, skill=skill, minutes=minutes, rate_minor=rate)


def price_materials(words: str, work: PaintWork, payer_kind: str, rates: QuoteRates) -> BillLine | None:
    """Paint and materials of a group by the rule of its payer; None where the rule finds nothing to go by.

    RuleBroken where the figure that the rule goes by, or an hour of paint work that it needs, has not been set.
    """
    rule = rates.materials.rule(payer_kind)
    paint_rate = rates.hour_minor(Skill.PAINT, payer_kind) if work.paint_minutes else 0
    price = materials_price(work, rule, rates.materials, paint_rate)
    if not price.minor:
        return None
    return BillLine(LineKind.MATERIALS, words, price.minor, rates.tax_code(LineKind.MATERIALS), why=price.why)


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
        raise RuleBroken("Enter a quantity above zero, and a cost of zero or more.", "part")
    each = marked_up(cost_minor, rates.parts_markup_permille) if price_minor is None else price_minor
    why = "cost and markup" if price_minor is None else "typed"
    return BillLine(kind, words, extend_price(quantity_thousandths, each), rates.tax_code(kind), why=why)


def price_sublet(words: str, cost_minor: int, rates: QuoteRates, price_minor: int | None = None) -> BillLine:
    """Work that another shop does: its cost with the shop's markup, or the price typed."""
    if cost_minor < 0 or (price_minor or 0) < 0:
        raise RuleBroken("Enter a cost of zero or more, for example 120 or 120.50.", "sublet")
    amount = marked_up(cost_minor, rates.sublet_markup_permille) if price_minor is None else price_minor
    why = "cost and markup" if price_minor is None else "typed"
    return BillLine(LineKind.SUBLET, words, amount, rates.tax_code(LineKind.SUBLET), why=why)


def price_fee(words: str, amount_minor: int, rates: QuoteRates) -> BillLine:
    """A fee as the shop sets it, such as disposal or storage."""
    if amount_minor < 0:
        raise RuleBroken("Enter a fee of zero or more. To take money off, give a discount.", "fee")
    return BillLine(LineKind.FEE, words, amount_minor, rates.tax_code(LineKind.FEE), why="typed")

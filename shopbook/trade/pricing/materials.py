"""What paint and materials are sold for: one rule by payer, chosen in settings and never changed by a missing price."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away

ANYBODY = "any"

REFINISH_STAGES = frozenset(
    {
        StageCode.PRIME,
        StageCode.PRIME_PART,
        StageCode.CLEAR_PREP,
        StageCode.MASK,
        StageCode.SEAL,
        StageCode.BASE_CLEAR,
        StageCode.UNMASK,
    }
)
"""The stages whose hours are refinish hours, by code: prime, prepare, mask, base and clear, unmask.

A new part's scuff-and-seal is its prime, and a ground coat belongs to the base it lies under. Blocking, the colour
check and polishing are paint hours and no refinish hours: a door has 4 to 5 of the one and about 3 of the other.
"""

REFINISH_SHARE = (2, 3)
"""What of paint hours that somebody typed are taken as refinish hours: 3 of 4.5 on a door, common practice."""


class MaterialsRule(StrEnum):
    """How a payer is charged for paint and materials. A door of 3.0 refinish hours and 4.5 paint hours, at 78.00 an
    hour, with 88.40 of the shelf's materials and 60.00 of colour:

    - refinish_hour at 42.00: 126.00, the colour in it, no line for colour;
    - shelf at 40 %: 123.76, and the colour as a line of its own;
    - paint_labour at 35 %: 351.00 of labour make 122.85, the colour in it;
    - paint_hour at 28.00: 126.00, and the colour as a line of its own (how a book of the first version counts).
    """

    REFINISH_HOUR = "refinish_hour"
    SHELF = "shelf"
    PAINT_LABOUR = "paint_labour"
    PAINT_HOUR = "paint_hour"

    @property
    def holds_colour(self) -> bool:
        """Whether colour bought for the car is in the materials' price: then it is a cost and no line of its own."""
        return self in {MaterialsRule.REFINISH_HOUR, MaterialsRule.PAINT_LABOUR}


@dataclass(frozen=True, slots=True)
class MaterialsRates:
    """The rule of each kind of payer ("any" for the others) and the figures of all rules; mark-up and percentage in
    tenths of a percent."""

    rules: Mapping[str, MaterialsRule] = field(default_factory=dict)
    refinish_hour_minor: int = 0
    paint_hour_minor: int = 0
    markup_permille: int = 0
    paint_labour_permille: int = 0

    def rule(self, payer_kind: str) -> MaterialsRule:
        """The rule that this kind of payer is charged by."""
        return self.rules.get(payer_kind, self.rules.get(ANYBODY, MaterialsRule.REFINISH_HOUR))


@dataclass(frozen=True, slots=True)
class PaintWork:
    """What materials are priced by: man-minutes, the shelf's materials at cost, and what of that cost is our guess."""

    paint_minutes: int = 0
    refinish_minutes: int = 0
    shelf_minor: int = 0
    guessed_minor: int = 0


@dataclass(frozen=True, slots=True)
class MaterialsPrice:
    """A price before tax, where it comes from, and whether some of it is our guess (said to the shop only)."""

    minor: int
    why: str
    is_guess: bool = False


def typed_hours(paint_minutes: int) -> PaintWork:
    """Paint hours that somebody typed, without a plan behind them: two thirds are taken as refinish hours."""
    part, whole = REFINISH_SHARE
    return PaintWork(paint_minutes, divide_half_away(paint_minutes * part, whole))


def materials_price(
    work: PaintWork, rule: MaterialsRule, rates: MaterialsRates, paint_rate_minor: int
) -> MaterialsPrice:
    """The price of a group's materials by a rule; zero where the rule finds nothing to go by.

    `paint_rate_minor` is what an hour of paint work is sold for to the payer. RuleBroken where the rule's own figure
    has not been set, so that paint work is never quoted without materials.
    """
    return _RULES[rule](work, rates, paint_rate_minor)


def marked_up(cost_minor: int, markup_permille: int) -> int:
    """Cost with a markup in tenths of a percent of the cost, rounded once."""
    return cost_minor + divide_half_away(cost_minor * markup_permille, 1000)


def _by_refinish_hour(work: PaintWork, rates: MaterialsRates, _: int) -> MaterialsPrice:
    minor = _hours(work.refinish_minutes, rates.refinish_hour_minor, "a refinish hour")
    return MaterialsPrice(minor, "by the refinish hour, mixed paint included")


def _by_paint_hour(work: PaintWork, rates: MaterialsRates, _: int) -> MaterialsPrice:
    """Work without paint has no paint hours: its materials are charged at shelf cost, as such books always did."""
    if not work.paint_minutes:
        known = work.shelf_minor - work.guessed_minor
        return MaterialsPrice(marked_up(known, rates.markup_permille), "shelf cost plus markup")
    return MaterialsPrice(_hours(work.paint_minutes, rates.paint_hour_minor, "a paint hour"), "by the paint hour")


def _by_shelf(work: PaintWork, rates: MaterialsRates, _: int) -> MaterialsPrice:
    """Typed hours have no list of materials behind them: the paint hour is our guess then."""
    if work.paint_minutes and not work.shelf_minor:
        minor = _hours(work.paint_minutes, rates.paint_hour_minor, "a paint hour")
        return MaterialsPrice(minor, "by the paint hour: no materials planned", is_guess=True)
    has_guess = work.guessed_minor > 0
    why = "shelf cost plus markup" + ("; our guess where the shelf has no price" if has_guess else "")
    return MaterialsPrice(marked_up(work.shelf_minor, rates.markup_permille), why, has_guess)


def _by_paint_labour(work: PaintWork, rates: MaterialsRates, paint_rate_minor: int) -> MaterialsPrice:
    labour = divide_half_away(work.paint_minutes * paint_rate_minor, 60)
    if labour and not rates.paint_labour_permille:
        raise RuleBroken("Set paint and materials as a percentage of paint {labour} in Settings.", "materials")
    minor = divide_half_away(labour * rates.paint_labour_permille, 1000)
    return MaterialsPrice(minor, "a percentage of paint work, mixed paint included")


def _hours(minutes: int, hour_minor: int, words: str) -> int:
    if minutes and hour_minor <= 0:
        raise RuleBroken(f"Set the price of paint and materials for {words} in Settings.", "materials")
    return divide_half_away(minutes * hour_minor, 60)


_RULES = {
    MaterialsRule.REFINISH_HOUR: _by_refinish_hour,
    MaterialsRule.SHELF: _by_shelf,
    MaterialsRule.PAINT_LABOUR: _by_paint_labour,
    MaterialsRule.PAINT_HOUR: _by_paint_hour,
}

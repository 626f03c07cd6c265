"""What a extra painted panel saves: masking, mixing and gun cleaning of one session are paid once."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away


@dataclass(frozen=True, slots=True)
class SavingTerms:
    """Frozen with the quote: what a paint hour is sold for, and which share of an extra panel's hours is saved.

    40 percent where it touches another painted panel, 20 elsewhere on the car: common practice, the shop's to change.
    A rate of zero saves nothing (quotes from before savings were lines of their own).
    """

    rate_minor: int = 0
    touching_permille: int = 400
    apart_permille: int = 200


@dataclass(frozen=True, slots=True)
class PaintedItem:
    """A painted panel of a quote: `minutes` of paint work planned for it alone, and the panels that it touches.

    One whose price was typed, or that the plan prices together with its neighbour, is not `may_save`, but counts as
    taken. `place` is the panel's place in the list of panels: of equal hours the first saves nothing.
    """

    panel: str
    minutes: int
    touches: frozenset[str] = frozenset()
    may_save: bool = True
    place: int = 0


@dataclass(frozen=True, slots=True)
class Saving:
    """`at` saves `amount_minor` beside `beside` (places of the items)."""

    at: int
    beside: int
    amount_minor: int


def further_savings(items: Sequence[PaintedItem], terms: SavingTerms) -> list[Saving]:
    """What is saved where these items are taken, in the order of the items, whatever that is.

    The item with most paint minutes saves nothing (of equals the first in the panel list); each other one saves a
    share of its own minutes at the rate. At 78.00 an hour a quarter of 4.5 h that touches a door of 5.0 h saves
    140.40: 40 percent of 351.00, never rounded to the list's step.
    """
    if not (0 <= terms.touching_permille <= 1000 and 0 <= terms.apart_permille <= 1000):
        raise RuleBroken("Enter what each extra panel saves, from 0 to 100 percent.", "second_panel")
    if len(items) < 2 or not terms.rate_minor:
        return []
    by_hours = sorted(range(len(items)), key=lambda at: (-items[at].minutes, items[at].place))
    found = [_saved(items, at, by_hours, terms) for at, item in enumerate(items) if item.may_save and at != by_hours[0]]
    return [saving for saving in found if saving.amount_minor]


def _saved(items: Sequence[PaintedItem], at: int, by_hours: Sequence[int], terms: SavingTerms) -> Saving:
    near = [other for other in by_hours if other != at and _touch(items[at], items[other])]
    permille = terms.touching_permille if near else terms.apart_permille
    amount = divide_half_away(items[at].minutes * terms.rate_minor * permille, 60_000)
    return Saving(at, near[0] if near else by_hours[0], amount)


def _touch(one: PaintedItem, other: PaintedItem) -> bool:
    """Either may name the other: a neighbour need not be told twice."""
    return other.panel in one.touches or one.panel in other.touches

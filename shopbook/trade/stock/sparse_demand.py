"""What recent use says about the order level: a forecast for occasional use, and a safety stock.

Floats: a forecast is an estimate of use in the next period. Sources: Teunter, Syntetos and Babai 2011 for the forecast;
the textbooks' safety stock for normal demand (Snyder and Shen, Fundamentals of Supply Chain Theory, chapter 4).
"""

import math
from collections.abc import Iterable, Sequence
from statistics import NormalDist, pstdev

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import format_quantity, quarter_words
from shopbook.trade.stock.reorder import ShelfLevel

SERVICE_LEVEL = 0.95
"""One delivery in twenty may find the shelf empty: common practice for what can be fetched the same day."""
FEWEST_WEEKS = 8
"""A shorter record says nothing of how unsteady the use is."""
FEWEST_USES = 3
"""So many weeks must have used some, or the record says nothing."""
_SCANT = "Not enough use on record: used in {used} of {weeks} weeks."


def smooth(values: Iterable[float], smoothing: float) -> float:
    """Simple exponential smoothing that starts at the first value; zero for no values."""
    if not 0 < smoothing <= 1:
        raise RuleBroken("Enter a smoothing constant between zero and one.")
    level: float | None = None
    for value in values:
        level = value if level is None else level + smoothing * (value - level)
    return level or 0.0


def fading_use(use: Sequence[float], size_smoothing: float = 0.1, chance_smoothing: float = 0.1) -> float:
    """The smoothed size of a use times the smoothed chance of one, which falls in every period without (TSB)."""
    if any(not math.isfinite(value) or value < 0 for value in use):
        raise RuleBroken("Use in a period cannot be negative.")
    chance = smooth((1.0 if value > 0 else 0.0 for value in use), chance_smoothing)
    return smooth((value for value in use if value > 0), size_smoothing) * chance


def safety_stock(service_level: float, deviation_a_period: float, periods: float) -> float:
    """What to keep so that a wait of so many periods passes without running out with that probability.

    Demand is taken as normal and each period's as its own. RuleBroken for a probability that is none.
    """
    if not 0 < service_level < 1:
        raise RuleBroken("Enter a probability between zero and one.")
    return NormalDist().inv_cdf(service_level) * deviation_a_period * math.sqrt(periods)


def what_use_says(shelf: ShelfLevel, weeks: Sequence[int]) -> str:
    """One or two sentences on the level that use by week would set, beside the one that the shop has set.

    `weeks` is thousandths used in each week on record, the oldest first. The level covers the wait for a supplier and
    is rounded up to quarters of a pack here.
    """
    used = sum(amount > 0 for amount in weeks)
    if len(weeks) < FEWEST_WEEKS or used < FEWEST_USES:
        return _SCANT.format(used=used, weeks=len(weeks))
    a_week, wait = fading_use(weeks), max(shelf.lead_days, 1) / 7
    level = a_week * wait + safety_stock(SERVICE_LEVEL, pstdev(weeks), wait)
    quarters = math.ceil(level * 4 / shelf.pack_thousandths)
    days = f"{shelf.lead_days} days" if shelf.lead_days > 1 else "a day"
    expected = format_quantity(round(a_week), shelf.unit, places=0, locale=shelf.locale)
    return (
        f"Used in {used} of the last {len(weeks)} weeks, about {expected} a week. If delivery takes {days}, "
        f"ordering at {quarter_words(quarters)} × {shelf.pack_name} would run out about once in 20 deliveries. "
        f"{_beside(quarters, shelf.threshold_quarters)}"
    )


def _beside(quarters: int, own: int) -> str:
    if quarters == own:
        return "That is your order level."
    return f"You order at {quarter_words(own)}, {'later' if own < quarters else 'earlier'} than that."

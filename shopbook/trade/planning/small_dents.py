"""Many small dents without paint: hours and price by panel, size class and count, with what slows them down."""

from shopbook.trade.catalogue.entries import Catalogue, Panel, SmallDentPrice
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.methods import DamageWork

DENT_FACTORS = ("dent_alloy", "dent_line", "dent_access")


def dents_tenths(
    catalogue: Catalogue, panel: Panel, class_mm: int, count: int, factors: frozenset[str] = frozenset()
) -> int:
    """The price in tenths of a door-rate hour for `count` dents of up to `class_mm` on one panel.

    The band that holds the count; beyond the last band in proportion to it. Raises RuleBroken for no dent or no size.
    """
    if count < 1 or class_mm < 1:
        raise RuleBroken("Enter how many small dents there are, and their size.", "dent_count")
    priced = class_of(catalogue, class_mm)
    tenths = _band(priced, count) * panel.ding_permille
    permille = 1000
    for code in DENT_FACTORS:
        if code in factors:
            permille = divide_half_away(permille * catalogue.factors[code].permille, 1000)
    return divide_half_away(tenths * permille, 1_000_000)


def class_of(catalogue: Catalogue, class_mm: int) -> SmallDentPrice:
    """The smallest size class that holds dents of this size; the largest for anything beyond."""
    rising = sorted(catalogue.small_dents.values(), key=lambda each: each.up_to_mm)
    if not rising:
        raise RuleBroken("The price list has no prices for small dents. Add one in Settings.", "small_dent")
    return next((each for each in rising if class_mm <= each.up_to_mm), rising[-1])


def dents_minutes(catalogue: Catalogue, panel: Panel, work: DamageWork) -> int:
    """Man-minutes to push them out: the priced hours at the share that is hands on the car."""
    damage = work.damage
    tenths = dents_tenths(catalogue, panel, damage.dent_class_mm, damage.dent_count, work.factors)
    share = round(catalogue.numbers["small_dent_hours_share"].value * 1000)
    return divide_half_away(tenths * 6 * share, 1000)


def _band(priced: SmallDentPrice, count: int) -> int:
    for up_to, tenths in priced.bands:
        if count <= up_to:
            return tenths
    last, tenths = priced.bands[-1]
    return divide_half_away(tenths * count, last)

"""Order quantities for who wants them deeper: economic lots, reorder points with safety stock, one-off stock.

Estimates in floats, in any one unit of quantity and of money; a caller rounds up to packs. The models are those of the
textbooks (Snyder and Shen, Fundamentals of Supply Chain Theory, chapters 3 to 5).
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

from shopbook.trade.errors import RuleBroken

_STANDARD = NormalDist()
_SETTLED = 1e-10
_ROUNDS = 500


@dataclass(frozen=True, slots=True)
class Lot:
    """An order quantity and what it costs in the period of the demand; `short_share` of it is owed before it comes."""

    quantity: float
    cost: float
    short_share: float = 0.0


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """Order `quantity` when stock, with what is on order, falls to `point`."""

    point: float
    quantity: float


def economic_lot(order_cost: float, holding_cost: float, demand: float) -> Lot:
    """The lot that balances the cost of ordering against keeping a unit for the period (Harris, 1913)."""
    _refuse_unless_positive(order_cost, holding_cost, demand)
    return Lot(math.sqrt(2 * order_cost * demand / holding_cost), math.sqrt(2 * order_cost * demand * holding_cost))


def economic_lot_with_backorders(order_cost: float, holding_cost: float, shortage_cost: float, demand: float) -> Lot:
    """The same where customers wait, at a cost for each unit and period that is owed."""
    _refuse_unless_positive(shortage_cost)
    plain = economic_lot(order_cost, holding_cost, demand)
    covered = shortage_cost / (holding_cost + shortage_cost)
    return Lot(plain.quantity / math.sqrt(covered), plain.cost * math.sqrt(covered), 1 - covered)


def safety_stock(service_level: float, deviation_a_day: float, lead_days: float) -> float:
    """What to keep so that a lead time passes without running out with that probability, demand being normal."""
    _refuse_unless_share(service_level)
    return _STANDARD.inv_cdf(service_level) * deviation_a_day * math.sqrt(lead_days)


def expected_shortage(level: float, mean: float, deviation: float) -> float:
    """How much of a normal demand a stock of `level` is expected to miss (the normal loss function)."""
    _refuse_unless_positive(deviation)
    z = (level - mean) / deviation
    return deviation * (_STANDARD.pdf(z) - z * (1 - _STANDARD.cdf(z)))


def reorder_point(
    order_cost: float, holding_cost: float, shortage_cost: float, demand: tuple[float, float], lead_time: float
) -> ReorderPoint:
    """Point and lot found together, each from the other, until they settle (expected inventory level, Hadley-Whitin).

    `demand` is mean and deviation in a period, `lead_time` in periods, `shortage_cost` for each unit missed. RuleBroken
    where holding costs so much against a shortage that no point is best.
    """
    mean, deviation = _over_lead_time(demand, lead_time)
    quantity = economic_lot(order_cost, holding_cost, demand[0]).quantity
    for _ in range(_ROUNDS):
        missed = holding_cost * quantity / (shortage_cost * demand[0])
        _refuse_unless_share(1 - missed)
        point = mean + _STANDARD.inv_cdf(1 - missed) * deviation
        shortage = expected_shortage(point, mean, deviation)
        better = math.sqrt(2 * demand[0] * (order_cost + shortage_cost * shortage) / holding_cost)
        if abs(better - quantity) < _SETTLED:
            break
        quantity = better
    return ReorderPoint(point, quantity)


def reorder_cost(
    plan: ReorderPoint,
    order_cost: float,
    holding_cost: float,
    shortage_cost: float,
    demand: tuple[float, float],
    lead_time: float,
) -> float:
    """What a reorder point and lot cost in a period under the same model: keeping, ordering, missing."""
    mean, deviation = _over_lead_time(demand, lead_time)
    kept = holding_cost * (plan.point - mean + plan.quantity / 2)
    missed = shortage_cost * expected_shortage(plan.point, mean, deviation)
    return kept + (order_cost + missed) * demand[0] / plan.quantity


def reorder_point_with_safety_stock(
    order_cost: float, holding_cost: float, shortage_cost: float, demand: tuple[float, float], lead_time: float
) -> ReorderPoint:
    """The plain economic lot, and a point that covers the lead time at the critical ratio."""
    _refuse_unless_positive(shortage_cost)
    mean, deviation = _over_lead_time(demand, lead_time)
    covered = shortage_cost / (shortage_cost + holding_cost)
    return ReorderPoint(
        mean + _STANDARD.inv_cdf(covered) * deviation, economic_lot(order_cost, holding_cost, demand[0]).quantity
    )


def one_off_stock(holding_cost: float, shortage_cost: float, mean: float, deviation: float) -> Lot:
    """What to have at once for a normal demand that comes once: the newsvendor. Costs are per unit left or missed."""
    _refuse_unless_positive(holding_cost, shortage_cost, deviation)
    level = NormalDist(mean, deviation).inv_cdf(shortage_cost / (shortage_cost + holding_cost))
    missed = expected_shortage(level, mean, deviation)
    return Lot(level, holding_cost * (level - mean + missed) + shortage_cost * missed)


def one_off_stock_poisson(holding_cost: float, shortage_cost: float, mean: float) -> Lot:
    """The same for demand that comes in whole pieces, Poisson with that mean (up to some 700)."""
    _refuse_unless_positive(holding_cost, shortage_cost, mean)
    wanted = shortage_cost / (shortage_cost + holding_cost)
    chance = reached = math.exp(-mean)
    level, left = 0, 0.0
    while reached < wanted and chance > 0:
        left += reached
        level += 1
        chance *= mean / level
        reached += chance
    missed = left - (level - mean)
    return Lot(level, holding_cost * left + shortage_cost * missed)


def _over_lead_time(demand: tuple[float, float], lead_time: float) -> tuple[float, float]:
    _refuse_unless_positive(*demand, lead_time)
    return demand[0] * lead_time, demand[1] * math.sqrt(lead_time)


def _refuse_unless_positive(*figures: float) -> None:
    if not all(math.isfinite(figure) and figure > 0 for figure in figures):
        raise RuleBroken("Costs, demand and times must be more than nought.")


def _refuse_unless_share(share: float) -> None:
    if not 0 < share < 1:
        raise RuleBroken("These costs leave no sensible point at which to order.")

"""Inventory models against stockpyl 1.0.2 (instances of Snyder and Shen, Fundamentals of Supply Chain Theory).

Each expected figure was printed by the library for the instance that is named; exercises have their own source.
"""

import math

import pytest

from shopbook.trade.order_quantities import (
    economic_lot,
    economic_lot_with_backorders,
    expected_shortage,
    one_off_stock,
    one_off_stock_poisson,
    reorder_cost,
    reorder_point,
    reorder_point_with_safety_stock,
    safety_stock,
)

_YEAR = (1300.0, 150.0)


def test_the_economic_lot_is_the_published_one() -> None:
    lot = economic_lot(8, 0.225, 1300)  # instance example_3_1
    assert lot.quantity == pytest.approx(304.0467800264, abs=1e-9)
    assert lot.cost == pytest.approx(68.4105255059, abs=1e-9)


def test_the_economic_lot_with_backorders_is_the_published_one() -> None:
    lot = economic_lot_with_backorders(8, 0.225, 5, 1300)  # instance example_3_8
    assert (lot.quantity, lot.short_share, lot.cost) == pytest.approx((310.81255516, 0.04306220, 66.92136355), abs=1e-7)


def test_a_one_off_stock_is_the_published_one() -> None:
    lot = one_off_stock(0.18, 0.70, 50, 8)  # instance example_4_3
    assert (lot.quantity, lot.cost) == pytest.approx((56.60395593, 1.99760519), abs=1e-7)


def test_a_one_off_stock_by_price_cost_and_salvage_is_the_published_one() -> None:
    revenue, cost, salvage = 1.0, 0.30, 0.12  # instance example_4_2
    lot = one_off_stock(cost - salvage, revenue - cost, 50, 8)
    assert lot.quantity == pytest.approx(56.60395593, abs=1e-7)
    assert (revenue - cost) * 50 - lot.cost == pytest.approx(33.00239481, abs=1e-7)


def test_a_one_off_stock_over_a_lead_time_is_the_published_one() -> None:
    lot = one_off_stock(0.18, 0.70, 5 * 50, 8 * math.sqrt(5))  # instance example_4_4
    assert (lot.quantity, lot.cost) == pytest.approx((264.76689437, 4.46678100), abs=1e-7)


def test_a_one_off_stock_in_pieces_is_the_published_one() -> None:
    lot = one_off_stock_poisson(200, 270, 18)  # instance problem_4_8a
    assert lot.quantity == 19
    assert lot.cost == pytest.approx(786.08844094, abs=1e-6)


def test_reorder_point_and_lot_found_together_are_the_published_ones() -> None:
    plan = reorder_point(8, 0.225, 7.5, _YEAR, 1 / 12)  # instance example_5_1, expected inventory level
    assert (plan.point, plan.quantity) == pytest.approx((213.97044214, 318.59018108), abs=1e-5)
    assert reorder_cost(plan, 8, 0.225, 7.5, _YEAR, 1 / 12) == pytest.approx(95.45114022, abs=1e-6)


def test_a_reorder_point_with_safety_stock_is_the_published_one() -> None:
    plan = reorder_point_with_safety_stock(8, 0.225, 7.5, _YEAR, 1 / 12)  # instance example_5_1, lot and safety stock
    assert (plan.point, plan.quantity) == pytest.approx((190.33699657, 304.04678003), abs=1e-7)


@pytest.mark.parametrize(
    ("z", "loss"), [(0, 0.3989423), (0.5, 0.1977966), (1, 0.0833155), (1.5, 0.0293068), (2, 0.0084907)]
)
def test_the_normal_loss_is_the_tabled_one(z: float, loss: float) -> None:
    # standard_normal_loss; and L(-z) = L(z) + z
    assert expected_shortage(z, 0, 1) == pytest.approx(loss, abs=5e-8)
    assert expected_shortage(-z, 0, 1) == pytest.approx(loss + z, abs=5e-8)


def test_the_normal_loss_away_from_the_standard_is_the_tabled_one() -> None:
    assert expected_shortage(18, 15, 3) == pytest.approx(0.24994641, abs=1e-8)  # normal_loss


def test_the_safety_stock_of_a_printed_exercise_is_met() -> None:
    # questionai exercise: daily deviation 5, lead time 4 days, 90 % (z 1.28): 12.8, its choice 13.
    assert safety_stock(0.90, 5, 4) == pytest.approx(12.8, abs=0.05)


@pytest.mark.parametrize(("level", "quantile"), [(0.90, 1.281552), (0.95, 1.644854), (0.99, 2.326348)])
def test_the_normal_quantiles_are_those_of_scipy(level: float, quantile: float) -> None:
    assert safety_stock(level, 1, 1) == pytest.approx(quantile, abs=5e-7)  # SciPy 1.17.1

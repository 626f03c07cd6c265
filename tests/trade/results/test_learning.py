"""A standard learns from the middle of what was touched, never from a few, and keeps its own shape."""

import statistics
from dataclasses import replace

import pytest
from scipy.stats import scoreatpercentile

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.results.learning import FEWEST, hours_figures, scaled_stage, teach

BLOCK = own_catalogue().stages["block"]


def test_four_figures_say_nothing_and_one_without_a_standard_is_none() -> None:
    assert teach([(60, 72)] * (FEWEST - 1)) is None
    assert teach([(60, 72)] * (FEWEST - 1) + [(0, 90)]) is None
    assert teach([(60, 72)] * FEWEST) is not None


def test_one_day_that_went_wrong_does_not_move_the_standard() -> None:
    calm = teach([(60, 66), (60, 72), (120, 144), (30, 36), (60, 78)])
    wild = teach([(60, 66), (60, 72), (120, 144), (30, 36), (60, 600)])
    assert calm is not None
    assert wild is not None
    assert calm.permille == wild.permille == 1200


@pytest.mark.parametrize("taken", [[30, 36, 42, 60, 90], [12, 600, 48, 54, 66, 70], [40] * 7])
def test_the_middle_half_is_the_one_that_scipy_finds(taken: list[int]) -> None:
    taught = teach([(60, each) for each in taken])
    assert taught is not None
    low, middle, high = (scoreatpercentile(taken, each) for each in (25, 50, 75))
    assert (taught.low_minutes, taught.median_minutes, taught.high_minutes) == (round(low), round(middle), round(high))
    assert taught.median_minutes == round(statistics.median(taken))


def test_half_as_long_again_is_half_as_much_again_of_each_figure() -> None:
    long = replace(BLOCK, fixed_minutes=4000, panel_minutes=6000, damage_minutes=8000, minutes_per_m2=100.0)
    assert hours_figures(scaled_stage(long, 1500)) == (6000, 9000, 12000, 150.0)
    taught = teach([(2000, 3000)] * FEWEST)
    assert taught is not None
    assert taught.permille == 1500


def test_a_scaled_stage_takes_its_share_of_every_figure_and_leaves_all_else() -> None:
    longer = scaled_stage(BLOCK, 1200)
    assert longer.panel_minutes == 37
    assert longer.minutes_per_m2 == pytest.approx(132.0)
    assert scaled_stage(BLOCK, 1000) == BLOCK
    assert (longer.grits, longer.factors, longer.next_panel_permille) == (
        BLOCK.grits, BLOCK.factors, BLOCK.next_panel_permille,
    )  # fmt: skip
    assert hours_figures(longer) != hours_figures(BLOCK)

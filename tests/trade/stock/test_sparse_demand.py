"""What use of the last months says of a level to order at."""

import random
from dataclasses import replace

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import Unit
from shopbook.trade.stock.reorder import ShelfLevel
from shopbook.trade.stock.sparse_demand import fading_use, safety_stock, smooth, what_use_says

CLEAR = ShelfLevel(Unit.ML, 1_000_000, "1 L", 2_480_000, threshold_quarters=4, lead_days=7)


def test_a_steady_use_wants_what_a_wait_takes_and_no_more() -> None:
    said = what_use_says(CLEAR, [500_000] * 12)
    assert said.startswith("Used in 12 of the last 12 weeks, about 500 ml a week. If delivery takes 7 days, ")
    assert "ordering at ½ × 1 L" in said
    assert said.endswith("You order at 1, earlier than that.")


def test_an_unsteady_use_wants_more_than_a_steady_one_of_the_same_size() -> None:
    said = what_use_says(CLEAR, [1_000_000, 0] * 6)
    assert "ordering at 1½ × 1 L" in said
    assert said.endswith("You order at 1, later than that.")


@pytest.mark.parametrize("weeks", [[], [500_000] * 7, [0] * 20 + [1] * 2])
def test_a_short_record_is_said_to_say_nothing(weeks: list[int]) -> None:
    assert what_use_says(CLEAR, weeks).startswith("Not enough use on record")


def test_eight_weeks_with_a_use_in_each_are_just_enough_to_say_something() -> None:
    assert what_use_says(CLEAR, [500_000] * 8).startswith("Used in 8 of the last 8 weeks")


def test_the_level_holds_in_about_nineteen_of_twenty_waits_of_a_shop_that_goes_on_as_before() -> None:
    """A simulated shop with normal weekly use: the promise of the sentence, tried 2,000 times."""
    dice = random.Random(7)
    weeks = [max(dice.gauss(1_000_000, 300_000), 0) for _ in range(26)]
    level = fading_use(weeks) + safety_stock(0.95, 300_000, 1)
    held = sum(dice.gauss(1_000_000, 300_000) <= level for _ in range(2_000))
    assert 0.88 < held / 2_000 < 0.99


def test_senseless_figures_are_answered_with_a_sentence() -> None:
    for ask in (lambda: safety_stock(1.0, 5, 4), lambda: smooth([1.0], 0), lambda: fading_use([1, -1])):
        with pytest.raises(RuleBroken):
            ask()


def test_what_was_never_used_is_forecast_as_nothing() -> None:
    assert fading_use([]) == fading_use([0, 0]) == 0


def test_a_lead_time_of_zero_is_counted_as_a_day() -> None:
    """Somebody has to notice and drive: what comes the same day still wants the stock of one day, and is said so."""
    weeks = [700_000, 0, 1_400_000, 0] * 3
    same_day, next_day = (what_use_says(replace(CLEAR, lead_days=days), weeks) for days in (0, 1))
    assert same_day == next_day
    assert "takes a day" in same_day

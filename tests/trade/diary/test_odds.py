"""The hours to count with so that most cars would have been ready."""

import random

import numpy as np
import pytest

from shopbook.trade.diary.odds import FEWEST, hours_for_most


def test_fewer_cars_than_twenty_say_nothing() -> None:
    assert hours_for_most([(60, 90)] * (FEWEST - 1)) is None
    assert hours_for_most([(60, 90)] * FEWEST) == 1500


def test_eight_of_ten_cars_stay_within_what_is_said() -> None:
    cars = [(100, 100 + place) for place in range(50)]
    most = hours_for_most(cars)
    assert most is not None
    assert sum(clocked * 1000 <= planned * most for planned, clocked in cars) == 40


@pytest.mark.parametrize("count", [20, 37, 60])
def test_the_quantile_is_the_linear_one_of_a_reference_library(count: int) -> None:
    """NumPy's `quantile` with method "linear", which its documentation names Hyndman and Fan's type 7."""
    dice = random.Random(count)
    cars = [(dice.randint(30, 1200), dice.randint(30, 1800)) for _ in range(count)]
    said = hours_for_most(cars)
    asked = float(np.quantile([clocked / planned for planned, clocked in cars], 0.8, method="linear"))
    assert said is not None
    assert 0 <= said - asked * 1000 < 1 + 1e-6

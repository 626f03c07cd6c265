"""The hours to count with so that most cars would have been ready."""

import random
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

import numpy as np
import pytest

from shopbook.trade.diary.late import Half
from shopbook.trade.diary.odds import FEWEST, hours_for_most, tenths_kept, told_half
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.diary.placing import Room, StageNeed
from shopbook.trade.diary.promise import Promise, promise_car
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.half_days import half_day_end
from tests.trade.diary.test_worked_promise import MONDAY, SHOP, WEDNESDAY, at, needs, promised


def test_fewer_cars_than_thirty_say_nothing() -> None:
    assert hours_for_most([(60, 90)] * (FEWEST - 1)) is None
    assert hours_for_most([(60, 90)] * FEWEST) == 1500


def test_eight_of_ten_cars_stay_within_what_is_said() -> None:
    cars = [(100, 100 + place) for place in range(50)]
    most = hours_for_most(cars)
    assert most is not None
    assert sum(clocked * 1000 <= planned * most for planned, clocked in cars) == 40


@pytest.mark.parametrize("count", [30, 37, 60])
def test_the_quantile_is_the_linear_one_of_a_reference_library(count: int) -> None:
    """NumPy's `quantile` with method "linear", which its documentation names Hyndman and Fan's type 7."""
    dice = random.Random(count)
    cars = [(dice.randint(30, 1200), dice.randint(30, 1800)) for _ in range(count)]
    said = hours_for_most(cars)
    asked = float(np.quantile([clocked / planned for planned, clocked in cars], 0.8, method="linear"))
    assert said is not None
    assert 0 <= said - asked * 1000 < 1 + 1e-6


def test_the_half_day_told_has_half_a_day_on_top_until_thirty_cars_are_finished() -> None:
    """Ready on Wednesday morning is told as Wednesday afternoon, by the worked example of a promise."""
    made, _ = promised()
    assert (made.collect_on, made.collect_half) == (WEDNESDAY, HalfDay.MORNING)
    assert told_half(SHOP, made, None, FEWEST - 1) == (WEDNESDAY, "afternoon")
    friday = replace(made, collect_on=WEDNESDAY + timedelta(days=2), collect_half=HalfDay.AFTERNOON)
    assert told_half(SHOP, friday, None, 0) == (WEDNESDAY + timedelta(days=5), "morning")


def test_from_thirty_cars_on_the_half_day_that_eight_of_ten_kept_is_told() -> None:
    made, _ = promised()
    most = replace(made, collect_half=HalfDay.AFTERNOON)
    assert told_half(SHOP, made, most, FEWEST) == (WEDNESDAY, "afternoon")
    assert told_half(SHOP, made, None, FEWEST) == (WEDNESDAY, "morning")


def test_tenths_are_those_of_the_cars_that_would_be_in_time() -> None:
    cars = [(100, 100 + place) for place in range(50)]
    assert tenths_kept(cars, lambda permille: permille <= 1410) == 8
    assert tenths_kept(cars, lambda permille: permille <= 1420) == 9
    assert tenths_kept(cars, lambda permille: False) == 0
    assert tenths_kept(cars, lambda permille: True) == 10
    assert tenths_kept([], lambda permille: True) == 0


def test_of_promises_said_at_eight_in_ten_seven_to_nine_are_kept_over_a_generated_year() -> None:
    """600 cars of a year: each takes another time than planned, and so does each of its stages. The plan that is told
    knows the cars before it alone; what is kept is looked at with the hours that the car really takes."""
    said: dict[int, list[bool]] = {}
    cars: list[tuple[int, int]] = []
    dice = random.Random(1)
    for place in range(600):
        day = SHOP.add_working_days(MONDAY + timedelta(days=place * 365 // 600), 0)
        plan, took = _car(dice)
        start = at(day, "08:00") + timedelta(minutes=dice.choice((0, 60, 120, 240)))
        permille = hours_for_most(cars[-60:])
        if permille:
            told = told_half(SHOP, _placed(plan, start), _placed(plan, start, permille), len(cars))
            tenths = tenths_kept(cars[-60:], partial(_is_kept, plan, start, told))
            said.setdefault(tenths, []).append(_is_kept(took, start, told, 1000))
        cars.append((sum(each.minutes for each in plan), sum(each.minutes for each in took)))
    kept = {tenths: sum(each) / len(each) for tenths, each in said.items()}
    assert len(said[8]) >= 40
    assert 0.7 <= kept[8] <= 0.9, (kept, len(said[8]))
    assert kept[8] < kept[10], "what is said to be surer is surer"


def _car(dice: random.Random) -> tuple[list[StageNeed], list[StageNeed]]:
    size, factor = dice.uniform(0.5, 2.5), dice.lognormvariate(0.08, 0.25)
    plan = [replace(each, minutes=round(each.minutes * size)) for each in needs(dice.choice((0, 60, 960)))]
    took = [replace(each, minutes=round(each.minutes * factor * dice.lognormvariate(0, 0.2))) for each in plan]
    return plan, took


def _placed(plan: list[StageNeed], start: datetime, permille: int = 1000) -> Promise:
    days = [SHOP.local_day(start) + timedelta(days=later) for later in range(60)]
    room = Room({day: dict.fromkeys(("body", "paint"), 480 if SHOP.is_working_day(day) else 0) for day in days})
    longer = [replace(each, minutes=divide_half_away(each.minutes * permille, 1000)) for each in plan]
    return promise_car(longer, SHOP, room, start)


def _is_kept(plan: list[StageNeed], start: datetime, told: Half, permille: int) -> bool:
    made = _placed(plan, start, permille)
    return half_day_end(made.collect_on, str(made.collect_half)) <= half_day_end(*told)

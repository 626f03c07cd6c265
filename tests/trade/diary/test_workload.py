"""Promised work laid over days, weeks spread over opening hours, hands shared by skill."""

import random
from datetime import date, time, timedelta

import pytest

from shopbook.trade.diary.opening import DayHours, OpeningHours
from shopbook.trade.diary.workload import (
    Hand,
    in_pools,
    lay_over_days,
    minutes_there,
    pools_of,
    share_hands,
    week_minutes,
)

MONDAY = date(2026, 11, 9)
TUESDAY, WEDNESDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)
DAY = DayHours(time(8), time(17), time(12), time(12, 30))
SHOP = OpeningHours("America/New_York", (*[DAY] * 5, DayHours(time(8), time(12)), None))


def hand(*skills: str, minutes: int = 480) -> Hand:
    return Hand(frozenset(skills), minutes)


def test_body_work_comes_early_and_paint_late_in_the_order_of_the_plan() -> None:
    laid = lay_over_days([("body", 120), ("paint", 120)], [(MONDAY, 480), (TUESDAY, 480)])
    assert laid == {(MONDAY, "body"): 120, (TUESDAY, "paint"): 120}


def test_a_half_day_takes_half_of_what_a_day_takes() -> None:
    laid = lay_over_days([("paint", 300)], [(MONDAY, 240), (TUESDAY, 480)])
    assert laid == {(MONDAY, "paint"): 100, (TUESDAY, "paint"): 200}


def test_more_than_the_days_hold_is_still_promised_in_them() -> None:
    laid = lay_over_days([("paint", 1500)], [(MONDAY, 480), (TUESDAY, 480)])
    assert laid == {(MONDAY, "paint"): 750, (TUESDAY, "paint"): 750}


def test_work_without_an_open_minute_left_falls_on_the_first_day() -> None:
    assert lay_over_days([("body", 60)], [(MONDAY, 0), (TUESDAY, 0)]) == {(MONDAY, "body"): 60}
    assert lay_over_days([("body", 60)], []) == {}


def test_laid_minutes_sum_to_the_work_in_a_thousand_random_plans() -> None:
    dice = random.Random(7)
    for _ in range(1000):
        work = [(dice.choice(["body", "paint"]), dice.randrange(0, 300)) for _ in range(dice.randrange(1, 9))]
        days = [(MONDAY + timedelta(days=each), dice.choice([0, 240, 510])) for each in range(dice.randrange(1, 7))]
        laid = lay_over_days(work, days)
        for skill in ("body", "paint"):
            assert sum(minutes for (_, each), minutes in laid.items() if each == skill) == sum(
                minutes for each, minutes in work if each == skill
            )
        assert min(laid.values(), default=1) > 0


def test_a_week_is_spread_over_the_hours_that_the_shop_is_open() -> None:
    week = week_minutes(SHOP)
    assert week == 5 * 510 + 240
    assert [minutes_there(2790, each, week) for each in (510, 240, 0)] == [510, 240, 0]
    assert minutes_there(1395, 510, week) == 255


def test_nobody_is_there_longer_than_the_shop_is_open() -> None:
    assert minutes_there(4800, 510, week_minutes(SHOP)) == 510
    assert minutes_there(2400, 0, 0) == 0


def test_one_person_who_does_everything_is_one_pool_of_hands() -> None:
    assert set(pools_of([{"body", "paint", "detail"}]).values()) == {"body and detail and paint"}


def test_skills_of_different_people_stay_pools_of_their_own() -> None:
    assert pools_of([{"body", "detail"}, {"paint"}]) == {
        "body": "body and detail",
        "detail": "body and detail",
        "paint": "paint",
    }
    assert pools_of([{"body"}, {"body", "paint"}]) == {"body": "body", "paint": "paint"}


def test_whoever_can_do_least_is_set_to_work_first() -> None:
    there = share_hands([hand("body", "paint"), hand("body")], {"body": 300, "paint": 400})
    assert there["paint"] >= 400
    assert there["body"] + there["paint"] == 960


def test_hands_that_nothing_waits_for_are_shared_evenly_or_as_asked() -> None:
    assert share_hands([hand("body", "paint")], {}) == {"body": 240, "paint": 240}
    assert share_hands([hand("body", "paint")], {}, {"body": 300, "paint": 100}) == {"body": 360, "paint": 120}


def test_too_much_promised_shows_as_more_than_is_there() -> None:
    there = share_hands([hand("body", "paint")], {"body": 600, "paint": 200})
    assert there == {"body": 360, "paint": 120}


@pytest.mark.parametrize("wanted", [{}, {"body": 100}, {"paint": 900, "detail": 50}])
def test_no_minute_of_a_hand_is_lost_or_counted_twice(wanted: dict[str, int]) -> None:
    hands = [hand("body", "detail", minutes=333), hand("paint", minutes=401), hand("body", "paint", "detail")]
    assert sum(share_hands(hands, wanted).values()) == 333 + 401 + 480


def test_hands_without_a_skill_do_no_work() -> None:
    assert share_hands([hand()], {"body": 60}) == {}
    assert in_pools([hand("body")], {}) == [Hand(frozenset(), 480)]

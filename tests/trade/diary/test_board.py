"""Which half-days a car takes on the board, from drop-off until the keys go out: the worked examples, in figures."""

from dataclasses import replace
from datetime import date, time

import pytest

from shopbook.trade.diary.board import (
    CarDays,
    Slot,
    StayState,
    across,
    half_days_later,
    half_days_taken,
    has_not_come,
    slot_after,
    slot_before,
    slots_of,
    stay_of,
)
from shopbook.trade.diary.opening import DayHours, OpeningHours

WEEKDAY = DayHours(time(8), time(16, 30), time(12), time(12, 30))
SHOP = OpeningHours("America/Chicago", (*([WEEKDAY] * 5), None, None))
WEDNESDAY, THURSDAY, FRIDAY, MONDAY, TUESDAY = (date(2026, 11, day) for day in (4, 5, 6, 9, 10))
DAYS = SHOP.working_days(THURSDAY, date(2026, 11, 12))
SLOTS = slots_of(DAYS)
TEN = (THURSDAY, False)
"""Thursday at 10:00."""


def taken(car: CarDays, now: Slot = TEN) -> list[Slot]:
    stay = stay_of(car, now)
    return sorted(half_days_taken(stay, SLOTS)) if stay else []


def test_a_car_takes_every_half_day_from_drop_off_to_promise_and_closed_days_none() -> None:
    booked = CarDays(drop_off=(FRIDAY, "morning"), told=(MONDAY, "afternoon"))
    assert taken(booked) == [(FRIDAY, False), (FRIDAY, True), (MONDAY, False), (MONDAY, True)]
    any_time = CarDays(drop_off=(FRIDAY, ""), told=(MONDAY, ""))
    assert taken(any_time) == taken(booked)
    short = CarDays(drop_off=(FRIDAY, "afternoon"), told=(MONDAY, "morning"))
    assert taken(short) == [(FRIDAY, True), (MONDAY, False)]


def test_a_late_car_stays_until_it_can_be_ready() -> None:
    late = CarDays(told=(THURSDAY, "afternoon"), ready_by=(FRIDAY, "morning"), came=(WEDNESDAY, False))
    assert taken(late) == [(THURSDAY, False), (THURSDAY, True), (FRIDAY, False)]
    stay = stay_of(late, TEN)
    assert stay is not None
    assert (stay.standing, stay.told) == (StayState.LATE, (THURSDAY, True))
    broken = replace(late, told=(WEDNESDAY, ""), ready_by=(THURSDAY, "afternoon"))
    assert taken(broken) == [(THURSDAY, False), (THURSDAY, True)]


def test_a_car_that_is_ready_goes_at_its_half_day_and_nobody_can_say_when_once_that_is_over() -> None:
    ready = CarDays(told=(THURSDAY, "morning"), came=(WEDNESDAY, False), is_ready=True)
    assert taken(ready) == [TEN]
    assert taken(ready, (THURSDAY, True)) == SLOTS
    stay = stay_of(ready, (THURSDAY, True))
    assert stay is not None
    assert (stay.ends, stay.standing) == (None, StayState.READY)


@pytest.mark.parametrize(
    "car",
    [
        CarDays(came=(WEDNESDAY, False)),
        CarDays(came=(WEDNESDAY, False), told=(WEDNESDAY, "")),
        CarDays(came=(date(2026, 10, 21), False), told=(date(2026, 10, 21), ""), is_ready=True),
    ],
    ids=["no day promised", "past its promise without a plan", "not picked up for 15 days"],
)
def test_a_car_whose_end_nobody_knows_takes_every_half_day_shown(car: CarDays) -> None:
    assert taken(car) == SLOTS


def test_a_car_that_has_not_come_holds_no_place_until_it_is_given_another_day() -> None:
    expected = CarDays(drop_off=(WEDNESDAY, "morning"), told=(FRIDAY, ""))
    assert (taken(expected), has_not_come(expected, TEN)) == ([], True)
    today = replace(expected, drop_off=(THURSDAY, "morning"))
    assert (taken(today)[0], has_not_come(today, TEN)) == (TEN, False)
    assert has_not_come(today, (THURSDAY, True))
    assert not has_not_come(CarDays(), TEN)


def test_a_car_that_is_gone_ends_with_the_half_day_of_its_keys() -> None:
    gone = CarDays(told=(FRIDAY, ""), came=(WEDNESDAY, False), gone=(THURSDAY, False))
    assert taken(gone) == [TEN]


def test_what_lies_outside_the_board_is_cut_and_says_so() -> None:
    stay = stay_of(CarDays(told=(date(2026, 12, 4), ""), came=(WEDNESDAY, True)), TEN)
    assert stay is not None
    span = across(stay, SLOTS)
    assert span is not None
    assert (span.first, span.last, span.is_since, span.is_on) == (0, 11, True, True)
    before = stay_of(CarDays(came=(WEDNESDAY, False), gone=(WEDNESDAY, True)), TEN)
    assert before is not None
    assert across(before, SLOTS) is None


def test_half_days_are_stepped_over_days_on_which_the_shop_is_closed() -> None:
    assert slot_after(SHOP, (FRIDAY, False)) == (FRIDAY, True)
    assert slot_after(SHOP, (FRIDAY, True)) == (MONDAY, False)
    assert slot_before(SHOP, (MONDAY, False)) == (FRIDAY, True)
    assert slot_before(SHOP, (MONDAY, True)) == (MONDAY, False)
    assert half_days_later(SHOP, (FRIDAY, False), (MONDAY, True)) == 3
    assert half_days_later(SHOP, (MONDAY, True), (FRIDAY, False)) == 0

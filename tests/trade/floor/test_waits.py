"""Waits at the day's temperature, their ends, and windows that close."""

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.waits import (
    Interval,
    Wait,
    WaitKind,
    clear_in_session,
    closed_day_between,
    first_touch_moment,
    open_stretches,
    scaled_minutes,
    wait_minutes,
    window_minutes,
)

MONDAY = datetime(2026, 3, 2, tzinfo=UTC)
WEEK: list[Interval] = [
    (MONDAY + timedelta(days=week * 7 + day, hours=8), MONDAY + timedelta(days=week * 7 + day, hours=17))
    for week in range(4)
    for day in range(5)
]
BASE_TO_CLEAR = Wait(WaitKind.FLASH, 18, not_after_minutes=1440)
SURFACER = Wait(WaitKind.DRY, 180, heated_minutes=20, cooling_minutes=10)

MOMENTS = st.integers(0, 18 * 24 * 60).map(lambda minute: MONDAY + timedelta(minutes=minute))


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment by day from the Monday and time."""
    return MONDAY + timedelta(days=day, hours=hour, minutes=minute)


def is_open(moment: datetime) -> bool:
    """The same week as a question."""
    return moment.weekday() < 5 and 8 <= moment.hour < 17


@given(st.integers(0, 100_000), st.floats(-20, 45), st.floats(-20, 45), st.booleans())
def test_a_colder_day_never_waits_less(minutes: int, one: float, other: float, shortest: bool) -> None:
    cold, warm = sorted((one, other))
    chilled = scaled_minutes(minutes, cold, shortest_first=shortest)
    warmed = scaled_minutes(minutes, warm, shortest_first=shortest)
    assert chilled.minutes >= warmed.minutes
    assert warmed.needs_heat <= chilled.needs_heat


@given(MOMENTS, st.integers(0, 540))
def test_touch_work_never_begins_nor_ends_outside_opening(not_before: datetime, minutes: int) -> None:
    begins = first_touch_moment(not_before, WEEK, minutes)
    assert begins >= not_before
    assert any(opens <= begins < closes and begins + timedelta(minutes=minutes) <= closes for opens, closes in WEEK)


@given(MOMENTS, st.integers(0, 300))
def test_asking_by_moment_and_by_stretches_gives_the_same(not_before: datetime, minutes: int) -> None:
    assert first_touch_moment(not_before, is_open, minutes) == first_touch_moment(not_before, WEEK, minutes)


@given(st.integers(1, 3000), st.floats(-10, 40), st.booleans())
def test_a_window_never_closes_before_work_may_go_on(shuts: int, temperature: float, heated: bool) -> None:
    wait = Wait(WaitKind.DRY, 180, not_after_minutes=shuts, heated_minutes=20)
    opens = wait_minutes(wait, temperature, is_heated=heated).minutes
    closes = window_minutes(wait, opens, temperature)
    assert closes is not None
    assert opens <= closes <= max(opens, shuts)


def test_a_cold_shop_is_told_that_nothing_hardens() -> None:
    cold = scaled_minutes(180, 8)
    assert cold.needs_heat
    assert "too cold to harden" in cold.reason
    assert cold.minutes == scaled_minutes(180, 12).minutes


def test_heat_past_the_range_promises_no_more() -> None:
    assert scaled_minutes(180, 40).minutes == scaled_minutes(180, 30).minutes == 90


def test_a_lamp_replaces_the_wait_and_adds_the_cooling() -> None:
    assert wait_minutes(SURFACER, 8, is_heated=True).minutes == 30
    assert not wait_minutes(SURFACER, 8, is_heated=True).needs_heat
    assert wait_minutes(BASE_TO_CLEAR, 20, is_heated=True).minutes == 18


def test_a_wait_that_does_not_follow_temperature_stays() -> None:
    assert wait_minutes(Wait(WaitKind.CURE, 60, follows_temperature=False), 10).minutes == 60


def test_the_touch_after_a_wait_that_ends_at_night_waits_for_the_door() -> None:
    assert first_touch_moment(at(0, 19), WEEK) == at(1, 8)
    assert first_touch_moment(at(4, 16, 30), WEEK, 60) == at(7, 8)


def test_the_very_end_of_a_day_is_not_a_moment_to_begin() -> None:
    assert first_touch_moment(at(0, 17), WEEK) == at(1, 8)


def test_a_warm_day_closes_the_window_sooner_and_a_cold_one_not_later() -> None:
    warm, plain, cold = (window_minutes(BASE_TO_CLEAR, 18, degrees) for degrees in (30, 20, 12))
    assert (warm, plain, cold) == (720, 1440, 1440)
    assert window_minutes(SURFACER, 180) is None


def test_no_closed_weekend_stands_between_base_and_clear() -> None:
    told = clear_in_session(at(4, 16, 30), (18, 1440), 60, WEEK)
    assert told is not None
    assert "closed between base and {clear}" in told
    assert clear_in_session(at(4, 9), (18, 1440), 60, WEEK) is None


def test_a_base_that_would_be_too_old_for_its_clear_is_said() -> None:
    assert "too old" in (clear_in_session(at(0, 16, 30), (18, 60), 60, WEEK) or "")
    assert clear_in_session(at(0, 16, 30), (18, None), 60, WEEK) is None


def test_a_night_is_no_closed_day_and_a_weekend_is() -> None:
    assert not closed_day_between(at(0, 17), at(1, 8), WEEK)
    assert closed_day_between(at(4, 17), at(7, 8), WEEK)
    assert closed_day_between(at(4, 17), at(6, 18), WEEK)
    assert not closed_day_between(at(0, 9), at(4, 16), WEEK)


def test_moments_without_a_zone_and_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        first_touch_moment(datetime(2026, 3, 2), WEEK)  # noqa: DTZ001
    for wrong in (lambda: scaled_minutes(-1, 20), lambda: scaled_minutes(5, math.nan)):
        with pytest.raises(RuleBroken):
            wrong()


def test_a_shop_that_is_never_open_says_so() -> None:
    with pytest.raises(RuleBroken, match="next 60 days"):
        first_touch_moment(MONDAY, [], 10)
    with pytest.raises(RuleBroken, match="next 60 days"):
        first_touch_moment(MONDAY, WEEK, 10_000)


def test_exactly_twenty_four_closed_hours_are_a_closed_day_and_a_minute_less_is_none() -> None:
    """Open until Monday 17:00 and again from Tuesday 17:00: 24 h. Opening at 16:59 leaves 23 h 59 min."""
    first = (at(0, 8), at(0, 17))
    assert closed_day_between(at(0, 9), at(1, 18), [first, (at(1, 17), at(1, 20))])
    assert not closed_day_between(at(0, 9), at(1, 18), [first, (at(1, 16, 59), at(1, 20))])
    assert closed_day_between(at(0, 9), at(1, 17), [first])
    assert not closed_day_between(at(0, 9), at(1, 16, 59), [first])


def test_a_base_is_cleared_until_the_last_minute_of_its_window() -> None:
    """A base of 9:00 that may be cleared after 18 minutes: a window that ends at 9:18 still takes it, 9:17 does not."""
    assert clear_in_session(at(0, 9), (18, 18), 60, WEEK) is None
    assert "too old" in (clear_in_session(at(0, 9), (18, 17), 60, WEEK) or "")


def test_work_that_ends_with_the_day_still_fits_into_it() -> None:
    assert first_touch_moment(at(0, 16), WEEK, 60) == at(0, 16)
    assert first_touch_moment(at(0, 16), WEEK, 61) == at(1, 8)


def test_the_bounds_of_temperature_are_taken_and_beyond_them_is_asked_again() -> None:
    assert scaled_minutes(0, -40).minutes == 0
    assert scaled_minutes(10, 80).minutes == 5
    for wrong in (-40.5, 80.5):
        with pytest.raises(RuleBroken):
            scaled_minutes(10, wrong)
    assert not scaled_minutes(180, 12).needs_heat
    assert scaled_minutes(180, 11.9).needs_heat


def test_at_twelve_degrees_it_still_hardens_and_is_said_to() -> None:
    """The lower end of the range belongs to it: 180 minutes at 20 °C are 314 at 12 °C, without a word of heating."""
    told = scaled_minutes(180, 12)
    assert (told.minutes, told.needs_heat) == (314, False)
    assert "not expected" not in told.reason


def test_a_shop_that_never_opens_has_no_open_stretch_and_one_that_opens_daily_is_looked_at_for_thirty() -> None:
    """Both ends are bounds: sixty days of asking, or thirty stretches."""
    start = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)
    assert open_stretches(start, lambda moment: False) == []
    daily = open_stretches(start, lambda moment: 9 <= moment.hour < 17)
    assert len(daily) == 30
    assert daily[0][0] == datetime(2026, 11, 6, 9, 0, tzinfo=UTC)
    weekly = open_stretches(start, lambda moment: moment.weekday() == 0 and moment.hour == 9)
    assert [stretch[0].date().day for stretch in weekly][:2] == [9, 16]
    assert len(weekly) == 9


def test_what_needs_no_cooling_is_ready_when_the_lamp_goes_off() -> None:
    assert wait_minutes(Wait(WaitKind.DRY, 180, heated_minutes=20), is_heated=True).minutes == 20
    assert wait_minutes(SURFACER, is_heated=True).minutes == 30

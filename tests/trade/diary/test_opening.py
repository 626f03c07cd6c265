"""Opening hours: counting and adding working time, over lunch, weekends, closed days and the change of clocks."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.diary.opening import DayHours, HalfDay, OpeningHours
from shopbook.trade.errors import RuleBroken

WEEKDAY = DayHours(time(8), time(16, 30), time(12), time(12, 30))
SATURDAY = DayHours(time(9), time(12))
SHOP = OpeningHours("America/Chicago", (*([WEEKDAY] * 5), SATURDAY, None), frozenset({date(2026, 11, 26)}))
NIGHTS = OpeningHours("Europe/Berlin", (DayHours(time(0), time(6)),) * 7)
NEVER = OpeningHours("UTC", (None,) * 7)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment of November 2026 by the wall clock in Chicago."""
    return SHOP.moment(date(2026, 11, day), time(hour, minute))


def test_lunch_closing_and_sunday_are_not_open() -> None:
    assert SHOP.is_open(at(5, 8))
    assert not SHOP.is_open(at(5, 12, 15))
    assert SHOP.is_open(at(5, 12, 30))
    assert not SHOP.is_open(at(5, 16, 30))
    assert not SHOP.is_open(at(8, 10))
    assert not SHOP.is_open(at(26, 10))


def test_working_time_leaves_out_lunch_nights_and_closed_days() -> None:
    assert SHOP.working_minutes_between(at(5, 8), at(5, 16, 30)) == 480
    assert SHOP.working_minutes_between(at(5, 11), at(5, 13)) == 90
    assert SHOP.working_minutes_between(at(6, 16), at(9, 8, 30)) == 30 + 180 + 30
    assert SHOP.working_minutes_between(at(25, 16), at(27, 9)) == 30 + 60
    assert SHOP.working_minutes_between(at(6, 9), at(5, 9)) == 0


def test_work_that_ends_with_the_day_ends_at_closing() -> None:
    assert SHOP.add_working_minutes(at(5, 15, 30), 60) == at(5, 16, 30)
    assert SHOP.add_working_minutes(at(5, 15, 30), 61) == at(6, 8, 1)
    assert SHOP.add_working_minutes(at(5, 11, 30), 60) == at(5, 13)
    assert SHOP.add_working_minutes(at(7, 12), 10) == at(9, 8, 10)
    assert SHOP.add_working_minutes(at(8, 12), 0) == at(9, 8)


def test_the_next_opening_is_now_when_open() -> None:
    assert SHOP.next_open(at(5, 9)) == at(5, 9)
    assert SHOP.next_open(at(5, 12, 10)) == at(5, 12, 30)
    assert SHOP.next_open(at(7, 12)) == at(9, 8)


def test_a_week_across_the_change_of_clocks_keeps_wall_clock_hours() -> None:
    # Chicago left daylight saving time on Sunday 1 November 2026: 8:00 is 13:00 UTC before it, 14:00 after.
    friday = SHOP.moment(date(2026, 10, 30), time(8))
    assert friday == datetime(2026, 10, 30, 13, tzinfo=UTC)
    assert SHOP.add_working_minutes(friday, 480 + 180) == SHOP.moment(date(2026, 10, 31), time(12))
    assert SHOP.add_working_minutes(friday, 480 + 180 + 1) == datetime(2026, 11, 2, 14, 1, tzinfo=UTC)


def test_a_shift_through_the_change_of_clocks_is_an_hour_shorter_or_longer() -> None:
    # Berlin: 02:00 to 03:00 was skipped on 29 March 2026 and came twice on 25 October 2026.
    assert NIGHTS.working_minutes_on(date(2026, 3, 28)) == 360
    assert NIGHTS.working_minutes_on(date(2026, 3, 29)) == 300
    assert NIGHTS.working_minutes_on(date(2026, 10, 25)) == 420


def test_days_are_counted_by_the_shops_own_calendar() -> None:
    assert SHOP.working_days(date(2026, 11, 25), date(2026, 11, 30)) == [
        date(2026, 11, day) for day in (25, 27, 28, 30)
    ]
    assert SHOP.closed_days(date(2026, 11, 25), date(2026, 11, 30)) == [date(2026, 11, 26), date(2026, 11, 29)]
    assert SHOP.add_working_days(date(2026, 11, 25), 1) == date(2026, 11, 27)
    assert SHOP.add_working_days(date(2026, 11, 26), 0) == date(2026, 11, 27)


def test_a_promise_by_half_day_ends_at_lunch_or_at_closing() -> None:
    assert SHOP.half_day(at(5, 12)) is HalfDay.MORNING
    assert SHOP.half_day(at(5, 12, 1)) is HalfDay.AFTERNOON
    assert SHOP.end_of_half(date(2026, 11, 5), HalfDay.MORNING) == at(5, 12)
    assert SHOP.end_of_half(date(2026, 11, 5), HalfDay.AFTERNOON) == at(5, 16, 30)
    with pytest.raises(RuleBroken):
        SHOP.end_of_half(date(2026, 11, 8), HalfDay.MORNING)


def test_a_shop_that_never_opens_is_told_to_set_its_hours() -> None:
    with pytest.raises(RuleBroken, match="Settings"):
        NEVER.next_open(at(5, 9))
    assert NEVER.working_minutes_between(at(5, 9), at(6, 9)) == 0


@pytest.mark.parametrize(
    ("opens", "closes", "lunch_begins", "lunch_ends"),
    [(16, 8, None, None), (8, 8, None, None), (8, 16, 12, None), (8, 16, 7, 9), (8, 16, 13, 12)],
)
def test_hours_that_cannot_be_are_refused(
    opens: int, closes: int, lunch_begins: int | None, lunch_ends: int | None
) -> None:
    with pytest.raises(RuleBroken):
        DayHours(
            time(opens),
            time(closes),
            None if lunch_begins is None else time(lunch_begins),
            None if lunch_ends is None else time(lunch_ends),
        )


@pytest.mark.parametrize(("zone", "days"), [("UTC", 1), ("Mars/Olympus", 7), ("../etc", 7)])
def test_a_week_has_seven_days_in_a_zone_that_is_known(zone: str, days: int) -> None:
    with pytest.raises(RuleBroken):
        OpeningHours(zone, (WEEKDAY,) * days)


_MOMENTS = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)).map(  # noqa: DTZ001
    lambda moment: moment.replace(second=0, microsecond=0, tzinfo=UTC)
)


@given(_MOMENTS, st.integers(0, 5_000), st.sampled_from([SHOP, NIGHTS]))
def test_adding_working_time_and_counting_it_agree(start: datetime, minutes: int, shop: OpeningHours) -> None:
    end = shop.add_working_minutes(start, minutes)
    assert shop.working_minutes_between(start, end) == minutes
    assert minutes == 0 or not shop.is_open(end) or shop.is_open(end - timedelta(minutes=1))


@given(_MOMENTS, st.integers(0, 3_000), st.integers(0, 3_000))
def test_working_time_adds_up_over_any_point_between(start: datetime, first: int, second: int) -> None:
    middle = start + timedelta(minutes=first)
    end = middle + timedelta(minutes=second)
    parts = SHOP.working_minutes_between(start, middle) + SHOP.working_minutes_between(middle, end)
    assert parts == SHOP.working_minutes_between(start, end)


def test_working_days_are_counted_one_by_one_over_the_sunday() -> None:
    """From Thursday 5 November 2026: each next working day of the shop in turn, none left out."""
    thursday = date(2026, 11, 5)
    days = [SHOP.add_working_days(thursday, count) for count in range(8)]
    open_days = [thursday + timedelta(days=more) for more in range(20)]
    assert days == [day for day in open_days if SHOP.is_working_day(day)][:8]

"""Clocks, day sheets and labour cost."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.diary.opening import DayHours, OpeningHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import (
    Interval,
    Placed,
    StopCause,
    labour_cost,
    merge,
    next_stop,
    parts_in_tenths,
    split_minutes,
    subtract,
    sum_day,
    sum_in_tenths,
    to_tenths,
)

SHOP = OpeningHours("America/Chicago", (*([DayHours(time(8), time(16, 30), time(12), time(12, 30))] * 5), None, None))
DAY = date(2026, 11, 4)


def at(clock: str, day: date = DAY) -> datetime:
    """A wall-clock time in Chicago as a moment."""
    return SHOP.moment(day, time.fromisoformat(clock))


def span(begins: str, ends: str) -> Interval:
    """A stretch of the fourth of November."""
    return Interval(at(begins), at(ends))


@pytest.mark.parametrize(
    ("begun", "stops", "cause"),
    [
        ("06:30", "12:00", StopCause.LUNCH),
        ("09:00", "12:00", StopCause.LUNCH),
        ("12:10", "16:30", StopCause.CLOSING),
        ("15:00", "16:30", StopCause.CLOSING),
    ],
)
def test_a_clock_stops_by_itself_at_lunch_and_at_closing(begun: str, stops: str, cause: StopCause) -> None:
    assert next_stop(at(begun), SHOP) == (at(stops), cause)


def test_night_work_runs_on_until_the_day_ends() -> None:
    assert next_stop(at("19:00"), SHOP) == (at("00:00", date(2026, 11, 5)), StopCause.DAY_END)


def test_work_on_a_closed_day_stops_when_the_day_ends() -> None:
    sunday = date(2026, 11, 8)
    assert next_stop(at("10:00", sunday), SHOP) == (at("00:00", date(2026, 11, 9)), StopCause.DAY_END)


def test_the_clock_of_two_stages_is_split_by_what_was_planned() -> None:
    assert split_minutes(100, [30, 60]) == [33, 67]
    assert sorted(split_minutes(101, [0, 0])) == [50, 51]
    assert split_minutes(60, [20, 0]) == [60, 0]


@given(st.integers(0, 10_000), st.lists(st.integers(0, 600), min_size=1, max_size=8))
def test_no_minute_is_lost_in_the_split(minutes: int, planned: list[int]) -> None:
    parts = split_minutes(minutes, planned)
    assert sum(parts) == minutes
    assert len(parts) == len(planned)


def test_a_day_as_the_evening_sheet_shows_it() -> None:
    # A day drawn up by hand: 8.0 h here, 5.6 h on cars, 2.4 h to place, in five holes.
    placed = [
        Placed(span(begins, ends))
        for begins, ends in [
            ("08:12", "09:00"),
            ("09:00", "09:42"),
            ("10:18", "11:30"),
            ("11:30", "11:48"),
            ("12:30", "14:18"),
            ("15:12", "16:00"),
        ]
    ]
    sheet = sum_day([span("08:00", "16:30")], [span("12:00", "12:30")], placed)
    assert (sheet.here_minutes, sheet.on_cars_minutes, sheet.to_place_minutes) == (480, 336, 144)
    assert sheet.holes == (
        span("08:00", "08:12"),
        span("09:42", "10:18"),
        span("11:48", "12:00"),
        span("14:18", "15:12"),
        span("16:00", "16:30"),
    )
    assert (sheet.outside_minutes, sheet.overlap_minutes) == (0, 0)


def test_time_away_is_not_a_hole_and_a_clock_while_away_is_told() -> None:
    here = [span("08:00", "10:00"), span("13:00", "15:00")]
    sheet = sum_day(here, [], [Placed(span("09:00", "10:30")), Placed(span("13:00", "14:00"), is_on_car=False)])
    assert (sheet.here_minutes, sheet.outside_minutes, sheet.elsewhere_minutes) == (240, 30, 60)
    assert sheet.holes == (span("08:00", "09:00"), span("14:00", "15:00"))


def test_a_lunch_worked_through_counts_as_here() -> None:
    sheet = sum_day([span("11:00", "13:00")], [span("12:00", "12:30")], [Placed(span("11:00", "12:15"))])
    assert sheet.here_minutes == 105
    assert sheet.holes == (span("12:30", "13:00"),)


def test_minutes_clocked_twice_are_told() -> None:
    entries = [span("08:00", "10:00"), span("09:30", "11:00"), span("11:00", "12:00")]
    assert sum_day([span("08:00", "12:00")], [], [Placed(one) for one in entries]).overlap_minutes == 30


def test_seconds_do_not_make_minutes_go_astray() -> None:
    start = datetime(2026, 11, 4, 14, 0, 50, tzinfo=UTC)
    pieces = [Interval(start + timedelta(seconds=95 * n), start + timedelta(seconds=95 * (n + 1))) for n in range(20)]
    assert sum(piece.minutes for piece in pieces) == Interval(start, pieces[-1].ends_at).minutes


def test_an_end_before_its_beginning_is_refused() -> None:
    with pytest.raises(RuleBroken):
        span("10:00", "09:59")


_BASE = datetime(2026, 11, 4, tzinfo=UTC)
_SPANS = st.lists(
    st.tuples(st.integers(0, 600), st.integers(0, 120)).map(
        lambda pair: Interval(_BASE + timedelta(minutes=pair[0]), _BASE + timedelta(minutes=pair[0] + pair[1]))
    ),
    max_size=8,
)


def _minutes_of(intervals: list[Interval]) -> set[int]:
    return {
        minute
        for one in intervals
        for minute in range(
            (one.begins_at - _BASE) // timedelta(minutes=1), (one.ends_at - _BASE) // timedelta(minutes=1)
        )
    }


@given(_SPANS, _SPANS)
def test_cutting_out_is_the_same_as_striking_minute_by_minute(whole: list[Interval], taken: list[Interval]) -> None:
    assert _minutes_of(subtract(whole, taken)) == _minutes_of(whole) - _minutes_of(taken)
    assert sum(one.minutes for one in merge(whole)) == len(_minutes_of(whole))


@given(_SPANS, _SPANS, _SPANS)
def test_a_day_sheet_always_adds_up(here: list[Interval], lunch: list[Interval], work: list[Interval]) -> None:
    sheet = sum_day(here, lunch, [Placed(one, is_on_car=place % 2 == 0) for place, one in enumerate(work)])
    placed = sheet.on_cars_minutes + sheet.elsewhere_minutes - sheet.overlap_minutes - sheet.outside_minutes
    assert placed + sheet.to_place_minutes == sheet.here_minutes


def test_labour_costs_by_the_minute_halves_going_up() -> None:
    assert labour_cost(60, 3_250) == 3_250
    assert labour_cost(1, 30) == 1
    assert labour_cost(7, 3_898) == 455


def test_hours_are_shown_with_one_decimal() -> None:
    assert [to_tenths(minutes) for minutes in (0, 2, 3, 24, 480, -3)] == [
        "0.0 h",
        "0.0 h",
        "0.1 h",
        "0.4 h",
        "8.0 h",
        "−0.1 h",
    ]


@pytest.mark.parametrize(("used", "planned"), [(946, 735), (945, 740), (951, 741)])
def test_what_lies_between_two_shown_figures_is_what_the_eye_takes_away(used: int, planned: int) -> None:
    """15.8 of 12.3 h is 3.5 over, though the minutes between them alone would be 3.4, 3.5 or 3.5."""
    shown = (to_tenths(used), to_tenths(planned))
    assert (*shown, sum_in_tenths(used, -planned)) in {("15.8 h", "12.3 h", "3.5 h"), ("15.9 h", "12.4 h", "3.5 h")}
    assert sum_in_tenths(planned, -used) == "−3.5 h"


def test_a_sum_is_what_the_eye_adds_up() -> None:
    """0.4 and 0.4 h are 0.8, though 23 and 23 minutes together are 0.8 and 26 and 26 would be 0.9."""
    assert (to_tenths(26), sum_in_tenths(26, 26), to_tenths(52)) == ("0.4 h", "0.8 h", "0.9 h")


def test_parts_shown_in_tenths_add_up_to_the_whole() -> None:
    assert parts_in_tenths([333, 147]) == ["5.6 h", "2.4 h"]
    assert parts_in_tenths([2, 2, 2]) == ["0.1 h", "0.0 h", "0.0 h"]


def test_a_clock_begun_at_the_end_of_a_stretch_runs_through_the_next_one() -> None:
    """At 12:00 lunch has begun: whoever starts then works on to 16:30; at 16:30 the shop is closed, so to midnight."""
    assert next_stop(at("12:00"), SHOP) == (at("16:30"), StopCause.CLOSING)
    assert next_stop(at("11:59"), SHOP) == (at("12:00"), StopCause.LUNCH)
    assert next_stop(at("16:30"), SHOP) == (at("00:00", date(2026, 11, 5)), StopCause.DAY_END)

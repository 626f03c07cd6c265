"""Paid hours by attendance and by the week, their wages, and what no job carries."""

from datetime import date, timedelta

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.results.paid_hours import (
    PaidTime,
    PaidWeek,
    PersonDays,
    PersonPaid,
    Wages,
    check_week,
    paid_hours,
    week_on,
)

FIRST = date(2026, 11, 1)
NOVEMBER = [FIRST + timedelta(days=place) for place in range(30)]
OPEN = [day for day in NOVEMBER if day.weekday() < 5]
FIVE = frozenset(range(5))
ALWAYS = date(2020, 1, 1)


def person(*weeks: PaidWeek, cost: int = 3_000, on_top: int = 0, **given: dict[date, int]) -> PersonDays:
    return PersonDays(weeks, given.get("here", {}), given.get("unpaid", {}), lambda _: cost, lambda _: on_top)


def test_25_hours_over_five_days_with_21_such_days_are_105_hours() -> None:
    assert len(OPEN) == 21
    paid = paid_hours(person(PaidWeek(ALWAYS, 25 * 60, FIVE)), OPEN)
    assert (to_tenths(paid.minutes), paid.wages_minor) == ("105.0 h", 315_000)


def test_25_hours_over_monday_to_wednesday_with_13_such_days_are_108_3_hours() -> None:
    three = [day for day in OPEN if day.weekday() < 3]
    assert len(three) == 13
    paid = paid_hours(person(PaidWeek(ALWAYS, 25 * 60, frozenset({0, 1, 2}))), OPEN)
    assert (paid.minutes, to_tenths(paid.minutes)) == (6_500, "108.3 h")
    assert paid.wages_minor == 325_000


def test_by_attendance_the_hours_here_are_paid_each_day_at_its_cost() -> None:
    paid = paid_hours(person(here={OPEN[0]: 480, OPEN[1]: 465}), OPEN)
    assert paid == PaidTime(945, 24_000 + 23_250, 0)


def test_by_the_week_attendance_changes_nothing() -> None:
    week = PaidWeek(ALWAYS, 25 * 60, FIVE)
    assert paid_hours(person(week, here={OPEN[0]: 480}), OPEN) == paid_hours(person(week), OPEN)


def test_from_a_day_on_the_week_takes_over() -> None:
    """Here until the 15th, by the week from the 16th: 480 min and 11 usual days of 5 h."""
    paid = paid_hours(person(PaidWeek(date(2026, 11, 16), 25 * 60, FIVE), here={OPEN[0]: 480, OPEN[-1]: 480}), OPEN)
    assert paid.minutes == 480 + 11 * 300


def test_time_off_is_paid_unless_it_is_marked() -> None:
    week = PaidWeek(ALWAYS, 40 * 60, FIVE)
    whole, marked = (
        paid_hours(person(week), OPEN),
        paid_hours(person(week, unpaid={OPEN[3]: 1_440, OPEN[4]: 120}), OPEN),
    )
    assert whole.minutes - marked.minutes == 480 + 120


def test_unpaid_time_off_on_a_day_that_is_not_usual_takes_nothing_off() -> None:
    week = PaidWeek(ALWAYS, 25 * 60, frozenset({0, 1, 2}))
    assert paid_hours(person(week, unpaid={date(2026, 11, 5): 1_440}), OPEN).minutes == 6_500


def test_on_costs_are_a_percentage_on_top() -> None:
    paid = paid_hours(person(PaidWeek(ALWAYS, 25 * 60, FIVE), on_top=215), OPEN)
    assert (paid.wages_minor, paid.on_costs_minor, paid.total_minor) == (315_000, 67_725, 382_725)


def test_the_later_of_two_lines_of_a_day_counts() -> None:
    lines = [PaidWeek(FIRST, 2_400, FIVE), PaidWeek(FIRST, 1_200, FIVE)]
    assert week_on(lines, FIRST).weekly_minutes == 1_200
    assert week_on(lines, ALWAYS).weekly_minutes is None


def test_wages_no_job_carries_leave_the_owner_out() -> None:
    """13,776.00 paid, 9,064.80 of it on jobs: 4,711.20. The owner's own 168 h at 46.00 are 7,728.00 once."""
    wages = Wages(
        (
            PersonPaid(1, "Dana", True, PaidTime(168 * 60, 772_800), 92_000),
            PersonPaid(2, "Sam", False, PaidTime(168 * 60, 700_000), 500_000),
            PersonPaid(3, "Kim", False, PaidTime(168 * 60, 600_000, 77_600), 406_480),
        )
    )
    assert (wages.paid.total_minor, wages.on_jobs_minor, wages.no_job_minor) == (1_377_600, 906_480, 471_120)
    assert (wages.own_pay_minor, wages.own_minutes, wages.unknown) == (772_800, 10_080, ())


def test_more_clocked_than_paid_is_below_zero() -> None:
    assert Wages((PersonPaid(2, "Sam", False, PaidTime(60, 3_000), 4_500),)).no_job_minor == -1_500


def test_an_owner_of_whom_nobody_said_the_cost_has_no_pay_yet() -> None:
    wages = Wages((PersonPaid(1, "Dana", True, PaidTime(), is_known=False),))
    assert (wages.own_pay_minor, wages.unknown) == (None, ("Dana",))


def test_hours_without_a_usual_day_are_refused_in_a_sentence() -> None:
    check_week(None, ())
    check_week(0, ())
    with pytest.raises(RuleBroken, match="Tick the usual days"):
        check_week(1_500, ())
    with pytest.raises(RuleBroken, match="Enter hours from 0 to 168"):
        check_week(168 * 60 + 1, {0})

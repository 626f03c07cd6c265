"""Local days, date forms, what people type as a day, and months."""

from datetime import UTC, date, datetime

import pytest
from babel.dates import format_date, parse_date
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.countries import Country, known_countries
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import (
    ClockForm,
    DateForm,
    format_clock,
    format_day,
    format_moment,
    format_month,
    local_day,
    month_bounds,
    month_of,
    month_shifted,
    months_between,
    near_day_words,
    parse_day,
    parse_month,
)

D, M, Y = DateForm.DAY_FIRST, DateForm.MONTH_FIRST, DateForm.YEAR_FIRST
FIFTH = date(2026, 11, 5)


def test_the_shops_day_is_not_the_day_in_utc() -> None:
    late = datetime(2026, 11, 6, 3, 30, tzinfo=UTC)
    assert local_day(late, "America/Chicago") == date(2026, 11, 5)
    assert local_day(late, "Europe/Berlin") == date(2026, 11, 6)
    assert local_day(datetime(2026, 11, 5, 14, tzinfo=UTC), "Pacific/Auckland") == date(2026, 11, 6)


def test_a_moment_without_a_zone_is_a_bug() -> None:
    with pytest.raises(ValueError, match="aware"):
        local_day(datetime(2026, 11, 6), "Europe/Berlin")  # noqa: DTZ001


def test_a_day_is_written_in_the_shops_form() -> None:
    assert [format_day(FIFTH, form) for form in (D, M, Y)] == ["5 Nov 2026", "Nov 5, 2026", "2026-11-05"]
    assert format_day(FIFTH, D, is_long=True, with_weekday=True) == "Thursday 5 November 2026"
    assert format_day(FIFTH, M, with_weekday=True) == "Thu, Nov 5, 2026"


@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_a_day_is_written_in_the_order_of_the_countrys_locale_or_of_our_choice(country: Country) -> None:
    """CLDR 48 has "Nov 5, 2026" as Canada's medium form and "2026-11-05" as its short one, which papers there keep."""
    width = "short" if country.code == "ca" else "medium"
    assert format_day(FIFTH, country.date_form) == format_date(FIFTH, width, locale=country.locale)


def test_every_month_is_three_letters_short_so_that_september_is_not_four() -> None:
    assert [format_day(date(2026, month, 1), D)[2:-5] for month in (5, 6, 9)] == ["May", "Jun", "Sep"]
    assert format_date(date(2026, 9, 1), "d MMM", locale="en_GB") == "1 Sept"


def test_the_year_goes_unsaid_in_its_own_year_alone() -> None:
    assert [format_day(FIFTH, form, this_year=2026) for form in (D, M, Y)] == ["5 Nov", "Nov 5", "2026-11-05"]
    assert format_day(FIFTH, M, with_weekday=True, this_year=2026) == "Thu, Nov 5"
    assert [format_day(FIFTH, form, this_year=2027) for form in (D, M)] == ["5 Nov 2026", "Nov 5, 2026"]


def test_near_days_are_said_as_people_say_them() -> None:
    days = [date(2026, 11, day) for day in (3, 4, 5, 6, 9, 11, 12)]
    said = ["3 Nov", "yesterday", "today", "tomorrow", "Monday", "Wednesday", "12 Nov"]
    assert [near_day_words(day, FIFTH, D) for day in days] == said
    assert near_day_words(date(2027, 1, 4), FIFTH, M) == "Jan 4, 2027"


def test_the_clock_is_read_in_the_zone_and_the_form_of_the_shop() -> None:
    moment = datetime(2026, 7, 1, 12, 5, tzinfo=UTC)
    assert format_clock(moment, "Europe/London") == "13:05"
    assert format_clock(moment, "Europe/London", ClockForm.HOURS_12) == "1:05 pm"
    assert format_clock(datetime(2026, 7, 1, 4, 0, tzinfo=UTC), "America/New_York", ClockForm.HOURS_12) == "12:00 am"
    assert format_moment(moment, "Europe/London", D) == "1 Jul 2026, 13:05"


@pytest.mark.parametrize(
    ("typed", "form"),
    [
        ("5/11/2026", D),
        ("11/5/2026", M),
        ("5.11.26", D),
        ("2026-11-05", D),
        ("2026-11-05", M),
        ("26-11-5", Y),
        ("5 Nov 2026", M),
        ("Nov 5, 2026", D),
        ("November 5th 2026", D),
        (" 5 november 26 ", D),
        ("05-11-2026", D),
    ],
)
def test_a_day_is_read_however_it_is_typed(typed: str, form: DateForm) -> None:
    assert parse_day(typed, form) == FIFTH


@pytest.mark.parametrize(
    "typed", ["", "soon", "31/2/2026", "5/11", "0/0/0", "5 Nov 1066", "1/2/3/4", "5 Nov Nov", "1e3"]
)
def test_what_is_no_day_is_answered_with_the_shops_form(typed: str) -> None:
    with pytest.raises(RuleBroken) as refused:
        parse_day(typed, D, field="promised")
    assert refused.value.field == "promised"


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)), st.sampled_from([D, M, Y]), st.booleans())
def test_every_day_written_is_read_back(day: date, form: DateForm, is_long: bool) -> None:
    assert parse_day(format_day(day, form, is_long=is_long), form) == day


def test_months_have_their_ends_and_neighbours() -> None:
    assert month_of(FIFTH) == "2026-11"
    assert month_bounds("2024-02") == (date(2024, 2, 1), date(2024, 2, 29))
    assert month_bounds("2026-12") == (date(2026, 12, 1), date(2026, 12, 31))
    assert month_shifted("2026-01", -1) == "2025-12"
    assert month_shifted("2026-11", 14) == "2028-01"
    assert months_between(date(2025, 11, 30), date(2026, 2, 1)) == ["2025-11", "2025-12", "2026-01", "2026-02"]
    assert format_month("2026-10") == "October 2026"
    assert parse_month("10/2026") == "2026-10"


@pytest.mark.parametrize("typed", ["2026-13", "2026", "October", "26-1", ""])
def test_what_is_no_month_is_refused(typed: str) -> None:
    with pytest.raises(RuleBroken):
        parse_month(typed, field="month")


def test_a_day_is_never_read_in_another_order_than_the_shops_as_a_lenient_reader_would() -> None:
    assert parse_date("13/5/2026", locale="en_US") == date(2026, 5, 13)
    with pytest.raises(RuleBroken, match="Nov 5, 2026"):
        parse_day("13/5/2026", M)


@pytest.mark.parametrize(("typed", "month"), [("1900-01", "1900-01"), ("12/2199", "2199-12")])
def test_the_first_and_the_last_year_that_a_book_knows_have_months(typed: str, month: str) -> None:
    assert parse_month(typed) == month


def test_the_first_and_the_last_day_that_a_book_knows_are_days_and_no_day_beyond_is() -> None:
    assert [parse_day(typed, D) for typed in ("1/1/1900", "31/12/2199")] == [date(1900, 1, 1), date(2199, 12, 31)]
    for beyond in ("31/12/1899", "1/1/2200"):
        with pytest.raises(RuleBroken, match="between 1900 and 2199"):
            parse_day(beyond, D)


@pytest.mark.parametrize("typed", ["1899-12", "2200-01", "2026-00", "2026-13"])
def test_a_month_outside_them_or_none_at_all_is_refused(typed: str) -> None:
    with pytest.raises(RuleBroken):
        parse_month(typed)

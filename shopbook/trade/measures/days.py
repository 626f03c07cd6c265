"""Days as a shop writes them: its local day, its date and clock forms, what people type, months."""

import re
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import month_names, write_day

_FIRST_YEAR, _LAST_YEAR = 1900, 2199


class DateForm(StrEnum):
    """The order in which a country writes a date."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"
    YEAR_FIRST = "year_first"


class ClockForm(StrEnum):
    """How a country writes the time of day."""

    HOURS_24 = "24"
    HOURS_12 = "12"


def local_time(moment: datetime, zone: str) -> datetime:
    """An aware moment by the wall clock of an IANA zone. ValueError for a moment without a zone."""
    if moment.tzinfo is None:
        raise ValueError("a moment must be aware")
    return moment.astimezone(ZoneInfo(zone))


def local_day(moment: datetime, zone: str) -> date:
    """The shop's day on which an aware moment falls."""
    return local_time(moment, zone).date()


_PATTERNS = {
    DateForm.DAY_FIRST: ("d MMM", " y"),
    DateForm.MONTH_FIRST: ("MMM d", ", y"),
    DateForm.YEAR_FIRST: ("y-MM-dd", ""),
}
"""A day by the letters of the locale data, and how its year follows. The English of the world, which the locale data
of Britain and Australia leave for one month: "Sept" is "Sep" here, as long as every other."""


def format_day(
    day: date, form: DateForm, *, is_long: bool = False, with_weekday: bool = False, this_year: int | None = None
) -> str:
    """A day in words: "5 Nov 2026", "Nov 5, 2026", "2026-11-05"; long "5 November 2026"; "Thursday 5 November 2026".

    In `this_year` the year goes unsaid: "5 Nov", "Nov 5"; what is written year first stays whole.
    """
    pattern, year = _PATTERNS[form]
    pattern += "" if day.year == this_year else year
    if with_weekday:
        pattern = f"EEE{',' if form is DateForm.MONTH_FIRST else ''} {pattern}"
    return write_day(day, pattern.replace("MMM", "MMMM").replace("EEE", "EEEE") if is_long else pattern)


def weekday_name(day: date) -> str:
    """The day of the week: "Monday"."""
    return write_day(day, "EEEE")


def near_day_words(day: date, today: date, form: DateForm) -> str:
    """A day as it is said near it: "today", "tomorrow", "yesterday", "Monday" within the coming week, else the date.

    The year of today goes unsaid.
    """
    distance = (day - today).days
    if -1 <= distance <= 1:
        return ("yesterday", "today", "tomorrow")[distance + 1]
    return weekday_name(day) if 1 < distance < 7 else format_day(day, form, this_year=today.year)


def format_clock(moment: datetime, zone: str, form: ClockForm = ClockForm.HOURS_24) -> str:
    """The time of day: "9:40" and "14:05", or "9:40 am" and "2:05 pm"."""
    clock = local_time(moment, zone)
    if form is ClockForm.HOURS_24:
        return f"{clock.hour}:{clock.minute:02d}"
    return f"{(clock.hour - 1) % 12 + 1}:{clock.minute:02d} {'am' if clock.hour < 12 else 'pm'}"


def format_moment(moment: datetime, zone: str, form: DateForm, clock: ClockForm = ClockForm.HOURS_24) -> str:
    """Day and time: "5 Nov 2026, 9:40"."""
    return f"{format_day(local_day(moment, zone), form)}, {format_clock(moment, zone, clock)}"


def parse_day(text: str, form: DateForm, *, field: str | None = None) -> date:
    """What was typed as a day: "5/11/2026" in the shop's order, "5.11.26", "5 Nov 2026", "Nov 5, 2026", "2026-11-05".

    Two figures of a year are of this century. Raises RuleBroken with a sentence that shows the shop's form. Babel's own
    reading is not used: it takes 13/5 for a day of May where the month comes first.
    """
    words = [word for word in re.split(r"[\s,./\-]+", text.strip()) if word]
    parts = _named_parts(words) or _numbered_parts(words, form)
    if parts is None:
        raise _not_a_day(form, field)
    year, month, day = parts
    year += 2000 if year < 100 else 0
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        raise RuleBroken(f"Enter a year between {_FIRST_YEAR} and {_LAST_YEAR}.", field)
    try:
        return date(year, month, day)
    except ValueError:
        raise _not_a_day(form, field) from None


def _not_a_day(form: DateForm, field: str | None) -> RuleBroken:
    return RuleBroken(f"Enter a day, for example {format_day(date(2026, 11, 5), form)}.", field)


def _named_parts(words: list[str]) -> tuple[int, int, int] | None:
    month = sum(map(_month_named, words))
    figures = [_figure(word) for word in words if not _month_named(word)]
    if len(words) != 3 or len(figures) != 2 or None in figures:
        return None
    day, year = (figure or 0 for figure in figures)
    return (day, month, year) if day > 31 else (year, month, day)


def _numbered_parts(words: list[str], form: DateForm) -> tuple[int, int, int] | None:
    figures = [figure for word in words if (figure := _figure(word)) is not None]
    if len(words) != 3 or len(figures) != 3:
        return None
    first, second, third = figures
    if form is DateForm.YEAR_FIRST or len(words[0]) == 4:
        return first, second, third
    return (third, second, first) if form is DateForm.DAY_FIRST else (third, first, second)


def _figure(word: str) -> int | None:
    found = re.fullmatch(r"(\d{1,4})(?:st|nd|rd|th)?", word.lower())
    return int(found[1]) if found else None


def _month_named(word: str) -> int:
    lower = word.lower()
    if len(lower) < 3:
        return 0
    return next((place for place, name in enumerate(month_names(), 1) if name.lower().startswith(lower)), 0)


def month_of(day: date) -> str:
    """The month of a day, written "2026-10"."""
    return f"{day.year:04d}-{day.month:02d}"


def parse_month(text: str, *, field: str | None = None) -> str:
    """A month typed as "2026-10" or "10/2026", as "2026-10". Raises RuleBroken with a sentence."""
    plain = text.strip()
    found = re.fullmatch(r"(?P<y>\d{4})[-/.](?P<m>\d{1,2})", plain) or re.fullmatch(
        r"(?P<m>\d{1,2})[-/.](?P<y>\d{4})", plain
    )
    if not found or not 1 <= int(found["m"]) <= 12 or not _FIRST_YEAR <= int(found["y"]) <= _LAST_YEAR:
        raise RuleBroken("Enter a month, for example 2026-10.", field)
    return f"{int(found['y']):04d}-{int(found['m']):02d}"


def month_bounds(month: str) -> tuple[date, date]:
    """The first and the last day of a month written "2026-10"."""
    plain = parse_month(month)
    first = date(int(plain[:4]), int(plain[5:]), 1)
    return first, (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)


def month_shifted(month: str, by: int) -> str:
    """The month so many months later, or earlier for less than zero."""
    first, _ = month_bounds(month)
    years, place = divmod(first.year * 12 + first.month - 1 + by, 12)
    return f"{years:04d}-{place + 1:02d}"


def months_between(first: date, last: date) -> list[str]:
    """The months that two days and all between them touch, in order."""
    count = (last.year - first.year) * 12 + last.month - first.month + 1
    return [month_shifted(month_of(first), later) for later in range(count)]


def format_month(month: str) -> str:
    """A month in words: "October 2026"."""
    first, _ = month_bounds(month)
    return write_day(first, "MMMM y")


def month_name(month: str) -> str:
    """The month alone: "October"."""
    first, _ = month_bounds(month)
    return write_day(first, "MMMM")

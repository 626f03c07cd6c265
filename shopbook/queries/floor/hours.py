"""Hours over days: here, on cars, elsewhere and to place by person; days that still have gaps."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from sqlalchemy.orm import Session

from shopbook.models.floor import Attendance, ClockEntry
from shopbook.queries.floor.clocks import attendance_between, names_of
from shopbook.queries.floor.day import here_on, lunch_on
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.shop.house_costs import last_by
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.floor.hours import DaySheet, Interval, Placed, labour_cost, sum_day
from shopbook.trade.floor.words import ClockWhat


@dataclass(frozen=True, slots=True)
class PersonHours:
    """One person's minutes over some days."""

    person_id: int
    name: str
    here_minutes: int
    on_cars_minutes: int
    elsewhere_minutes: int
    to_place_minutes: int


@dataclass(frozen=True, slots=True)
class UnplacedDay:
    """A day of a person with time that has no place yet; `more_days` are earlier ones, `all_minutes` is of them all."""

    person_id: int
    name: str
    on: date
    to_place_minutes: int
    more_days: int = 0
    all_minutes: int = 0


Sheets = dict[tuple[int, date], DaySheet]
"""The sums of days by person and day."""

LOOKS_BACK_DAYS = 14
"""How far back time to place is still asked for on its own."""

WORTH_PLACING_MINUTES = 6
"""Less than a tenth of an hour shows as zero on a sheet."""


def sum_by_person(session: Session, sheets: Sheets, names: Mapping[int, str] | None = None) -> list[PersonHours]:
    """Minutes of these days by person, by name; one statement, none where the `names` of people are read already."""
    totals: dict[int, list[DaySheet]] = {}
    for (person_id, _), sheet in sheets.items():
        totals.setdefault(person_id, []).append(sheet)
    names = names_of(session, totals) if names is None else names
    found = [
        PersonHours(
            person_id,
            names.get(person_id, ""),
            sum(sheet.here_minutes for sheet in sheets),
            sum(sheet.on_cars_minutes for sheet in sheets),
            sum(sheet.elsewhere_minutes for sheet in sheets),
            sum(sheet.to_place_minutes for sheet in sheets),
        )
        for person_id, sheets in totals.items()
    ]
    return sorted(found, key=lambda one: (one.name, one.person_id))


@dataclass(frozen=True, slots=True)
class HoursRead:
    """The attendance and the clock entries of some days, read once for the sheets of any of them."""

    attendance: Mapping[tuple[int, date], Attendance]
    entries: Sequence[ClockEntry]

    def of(self, first: date, last: date) -> "HoursRead":
        """Some of these days, both included."""
        attendance = {key: line for key, line in self.attendance.items() if first <= key[1] <= last}
        return HoursRead(attendance, [each for each in self.entries if first <= each.on <= last])


def read_hours(session: Session, first: date, last: date) -> HoursRead:
    """What was clocked from `first` to `last`, both included; two statements."""
    return HoursRead(attendance_between(session, first, last), list_entries(session, first, last, with_shares=False))


def sheets_to_the_end(shop: ShopOn, first: date, last: date, read: HoursRead | None = None) -> Sheets:
    """The sums of every day from `first` to `last`; anybody who did not clock out counts as here until closing.

    Two statements, none where these days are `read` already.
    """
    opening = shop.on(last).opening
    read = read_hours(shop.session, first, last) if read is None else read.of(first, last)
    return _sheets(read, opening.moment(last + timedelta(days=1), time(0)), opening)


def sum_hours(shop: ShopOn, sheets: Sheets) -> tuple[int, int, int]:
    """Of all people over these days: minutes here, minutes on cars, and what the minutes here cost."""
    costs = {person_id: last_by(lines) for person_id, lines in shop.person_costs.items()}
    paid = sum(
        labour_cost(sheet.here_minutes, costs[person_id](on))
        for (person_id, on), sheet in sheets.items()
        if person_id in costs
    )
    here = sum(sheet.here_minutes for sheet in sheets.values())
    return here, sum(sheet.on_cars_minutes for sheet in sheets.values()), paid


def list_unplaced_days(shop: ShopOn, now: datetime, days: int = LOOKS_BACK_DAYS) -> list[UnplacedDay]:
    """Days before the shop's, at most so many back, on which somebody has time to place; the oldest first."""
    last = shop.day - timedelta(days=1)
    sheets = day_sheets(shop.session, shop.day - timedelta(days=days), last, now, shop.on(last).opening)
    return unplaced_among(shop.session, sheets, shop.person_names)


def unplaced_among(session: Session, sheets: Sheets, names: Mapping[int, str] | None = None) -> list[UnplacedDay]:
    """The same from sheets that are read already; one statement, none where the `names` of people are too."""
    names = names_of(session, (person_id for person_id, _ in sheets)) if names is None else names
    found = [
        UnplacedDay(person_id, names.get(person_id, ""), on, sheet.to_place_minutes)
        for (person_id, on), sheet in sheets.items()
        if sheet.to_place_minutes >= WORTH_PLACING_MINUTES
    ]
    return sorted(found, key=lambda one: (one.on, one.name))


def newest_unplaced(days: Iterable[UnplacedDay]) -> list[UnplacedDay]:
    """One line a person: the newest day with time to place, and how many days and minutes lie before it."""
    by_person: dict[int, list[UnplacedDay]] = {}
    for day in days:
        by_person.setdefault(day.person_id, []).append(day)
    return [
        replace(
            max(rows, key=lambda row: row.on),
            more_days=len(rows) - 1,
            all_minutes=sum(row.to_place_minutes for row in rows),
        )
        for rows in by_person.values()
    ]


def day_sheets(session: Session, first: date, last: date, now: datetime, hours: OpeningHours | None = None) -> Sheets:
    """The sums of every day from `first` to `last`, both included; a fixed number of statements.

    `hours` are the opening hours of the last day where they are read already.
    """
    return _sheets(read_hours(session, first, last), now, hours or opening_hours_on(session, last))


def _sheets(read: HoursRead, now: datetime, hours: OpeningHours) -> Sheets:
    attendance = read.attendance
    entries: dict[tuple[int, date], list[Placed]] = {}
    for entry in read.entries:
        placed = Placed(Interval(entry.started_at, entry.stopped_at), entry.what == ClockWhat.STAGE)
        entries.setdefault((entry.person_id, entry.on), []).append(placed)
    found: Sheets = {}
    for key in sorted({*attendance, *entries}):
        day = entries.get(key, [])
        here = here_on(attendance.get(key), [each.interval for each in day], hours, key[1], now)
        lunch = [pause for pause in lunch_on(hours, key[1]) if any(each.begins_at < pause.ends_at for each in here)]
        found[key] = sum_day(here, lunch, day)
    return found

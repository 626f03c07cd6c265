"""When a shop is open: its week, lunch and closed days, and working time counted over them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from itertools import pairwise
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from shopbook.trade.errors import RuleBroken

_FARTHEST_DAYS = 400
"""A shop that does not open within so many days has no hours to plan with."""


class HalfDay(StrEnum):
    """The two halves in which a shop promises a car."""

    MORNING = "morning"
    AFTERNOON = "afternoon"


@dataclass(frozen=True, slots=True)
class DayHours:
    """One weekday by the shop's wall clock; lunch has both ends or neither, inside the day."""

    opens: time
    closes: time
    lunch_begins: time | None = None
    lunch_ends: time | None = None

    def __post_init__(self) -> None:
        if self.opens >= self.closes:
            raise RuleBroken("Enter a closing time later than the opening time.", "closes")
        if (self.lunch_begins is None) != (self.lunch_ends is None):
            raise RuleBroken("Enter both the start and the end of lunch, or leave both empty.", "lunch_begins")
        clock = [self.opens, *(end for end in (self.lunch_begins, self.lunch_ends) if end is not None), self.closes]
        if any(earlier >= later for earlier, later in pairwise(clock)):
            raise RuleBroken("Enter a lunch between opening and closing time.", "lunch_begins")

    @property
    def stretches(self) -> tuple[tuple[time, time], ...]:
        """The stretches of work: one, or two with lunch between them."""
        if self.lunch_begins is None or self.lunch_ends is None:
            return ((self.opens, self.closes),)
        return ((self.opens, self.lunch_begins), (self.lunch_ends, self.closes))


@dataclass(frozen=True, slots=True)
class OpeningHours:
    """A shop's hours: its IANA zone, seven weekdays from Monday (None is closed), and other closed days.

    Moments go in and come out as aware UTC. Hours are wall-clock hours, so a day on which the clocks change is an hour
    shorter or longer where the change falls into opening time.
    """

    zone: str
    week: tuple[DayHours | None, ...]
    closed_on: frozenset[date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        if len(self.week) != 7:
            raise RuleBroken("Opening hours need all seven weekdays, from Monday.", "week")
        try:
            ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError):
            raise RuleBroken("That time zone is not known. Enter one such as Europe/Berlin.", "zone") from None

    def hours_on(self, day: date) -> DayHours | None:
        """The hours of that day, or None when the shop is closed all day."""
        return None if day in self.closed_on else self.week[day.weekday()]

    def is_working_day(self, day: date) -> bool:
        """Whether the shop opens at all on that day."""
        return self.hours_on(day) is not None

    def stretches_on(self, day: date) -> tuple[tuple[datetime, datetime], ...]:
        """The day's stretches of work as UTC moments, in order; empty when closed."""
        hours = self.hours_on(day)
        if hours is None:
            return ()
        return tuple((self.moment(day, begins), self.moment(day, ends)) for begins, ends in hours.stretches)

    def moment(self, day: date, clock: time) -> datetime:
        """A wall-clock time of the shop's day as a UTC moment; of a time that comes twice, the first."""
        return datetime.combine(day, clock, ZoneInfo(self.zone)).astimezone(UTC)

    def local_day(self, moment: datetime) -> date:
        """The shop's day on which an aware moment falls."""
        return moment.astimezone(ZoneInfo(self.zone)).date()

    def is_open(self, moment: datetime) -> bool:
        """Whether work goes on at that moment; lunch and the moment of closing are not open."""
        return any(begins <= moment < ends for begins, ends in self.stretches_on(self.local_day(moment)))

    def next_open(self, moment: datetime) -> datetime:
        """The moment itself when open, else when work next begins. RuleBroken for a shop that never opens."""
        begins, _ = next(self._stretches_from(moment))
        return begins

    def working_minutes_between(self, start: datetime, end: datetime) -> int:
        """Whole minutes of work between two moments; zero when the end is not later."""
        if end <= start:
            return 0
        worked = timedelta()
        for day in self._days(self.local_day(start), self.local_day(end)):
            for begins, ends in self.stretches_on(day):
                worked += max(min(ends, end) - max(begins, start), timedelta())
        return worked // timedelta(minutes=1)

    def add_working_minutes(self, start: datetime, minutes: int) -> datetime:
        """When so many minutes of work are done that begin at `start` or at the next opening.

        Work that ends with the day ends at closing, not at the next opening. RuleBroken for minutes under zero.
        """
        if minutes < 0:
            raise RuleBroken("Working time cannot be below zero.", "minutes")
        left = timedelta(minutes=minutes)
        for begins, ends in self._stretches_from(start):
            if left <= ends - begins:
                return begins + left
            left -= ends - begins
        raise AssertionError("the stretches of a shop that opens never end")

    def working_days(self, first: date, last: date) -> list[date]:
        """The days on which the shop opens, first and last included."""
        return [day for day in self._days(first, last) if self.is_working_day(day)]

    def closed_days(self, first: date, last: date) -> list[date]:
        """The days on which it does not, first and last included."""
        return [day for day in self._days(first, last) if not self.is_working_day(day)]

    def working_minutes_on(self, day: date) -> int:
        """Minutes of work in the day."""
        return sum((ends - begins) // timedelta(minutes=1) for begins, ends in self.stretches_on(day))

    def add_working_days(self, day: date, count: int) -> date:
        """The working day that comes `count` working days after `day`; with zero the day itself or the next one."""
        found = self._next_working_day(day)
        for _ in range(count):
            found = self._next_working_day(found + timedelta(days=1))
        return found

    def half_day(self, moment: datetime) -> HalfDay:
        """Morning up to and with the moment when lunch begins (noon without one), afternoon after it."""
        day = self.local_day(moment)
        return HalfDay.MORNING if moment <= self._middle(day) else HalfDay.AFTERNOON

    def end_of_half(self, day: date, half: HalfDay) -> datetime:
        """The moment by which something promised for that half is due. RuleBroken on a closed day."""
        hours = self.hours_on(day)
        if hours is None:
            raise RuleBroken("The shop is closed that day. Choose another.", "day")
        return self._middle(day) if half is HalfDay.MORNING else self.moment(day, hours.closes)

    def _middle(self, day: date) -> datetime:
        hours = self.hours_on(day)
        return self.moment(day, (hours.lunch_begins if hours else None) or time(12))

    def _next_working_day(self, day: date) -> date:
        for later in range(_FARTHEST_DAYS):
            if self.is_working_day(day + timedelta(days=later)):
                return day + timedelta(days=later)
        raise RuleBroken("The shop has no opening hours. Set them in Settings.")

    def _stretches_from(self, moment: datetime) -> Iterator[tuple[datetime, datetime]]:
        day = self._next_working_day(self.local_day(moment))
        while True:
            for begins, ends in self.stretches_on(day):
                if ends > moment:
                    yield max(begins, moment), ends
            day = self._next_working_day(day + timedelta(days=1))

    @staticmethod
    def _days(first: date, last: date) -> Iterator[date]:
        for later in range((last - first).days + 1):
            yield first + timedelta(days=later)

"""The hours a shop pays each person for, by attendance or by the week, what they cost, and what no job carries."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import labour_cost
from shopbook.trade.measures.amounts import divide_half_away

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MOST_MINUTES = 168 * 60


@dataclass(frozen=True, slots=True)
class PaidWeek:
    """How a person is paid from a day: by the week over the usual weekdays (Monday is 0), or by attendance.

    By attendance `weekly_minutes` is None: paid are the hours here, and time off is not.
    """

    from_on: date
    weekly_minutes: int | None = None
    weekdays: frozenset[int] = frozenset()

    def minutes_of(self, days: int) -> int:
        """Paid minutes of so many working days that are usual days of the person, rounded once.

        25 hours over five days, 21 such days: 105.0 h. Over Monday to Wednesday, 13 such days: 108.3 h.
        """
        return divide_half_away((self.weekly_minutes or 0) * days, len(self.weekdays)) if self.weekdays else 0

    def is_usual(self, day: date) -> bool:
        """Whether it is a usual day of the person."""
        return day.weekday() in self.weekdays


def check_week(weekly_minutes: int | None, weekdays: Collection[int]) -> None:
    """RuleBroken for hours beyond a week, or for hours a week without a usual day."""
    if weekly_minutes is None:
        return
    if not 0 <= weekly_minutes <= MOST_MINUTES:
        raise RuleBroken("Enter hours from 0 to 168, for example 40 or 37.5.", "weekly_minutes")
    if weekly_minutes and not weekdays:
        raise RuleBroken("Tick the usual days, for example Monday to Friday.", "weekdays")


def week_on(weeks: Sequence[PaidWeek], day: date) -> PaidWeek:
    """How a person is paid on a day, of lines in the order of their days; by attendance until somebody said."""
    return next((week for week in reversed(weeks) if week.from_on <= day), PaidWeek(date.min))


@dataclass(frozen=True, slots=True)
class PersonDays:
    """What the paid hours of one person are worked out from, over some days.

    `weeks` in the order of their days; `here` minutes of attendance by day; `unpaid` minutes of time off that is
    marked as not paid, by day; `cost` what an hour costs on a day, `on_costs` the percentage on top in tenths.
    """

    weeks: Sequence[PaidWeek]
    here: Mapping[date, int]
    unpaid: Mapping[date, int]
    cost: Callable[[date], int]
    on_costs: Callable[[date], int]


@dataclass(frozen=True, slots=True)
class PaidTime:
    """Paid minutes, their wages, and what comes on top of these, in minor units."""

    minutes: int = 0
    wages_minor: int = 0
    on_costs_minor: int = 0

    @property
    def total_minor(self) -> int:
        """Wages and what comes on top."""
        return self.wages_minor + self.on_costs_minor

    def __add__(self, other: "PaidTime") -> "PaidTime":
        return PaidTime(
            self.minutes + other.minutes,
            self.wages_minor + other.wages_minor,
            self.on_costs_minor + other.on_costs_minor,
        )


def paid_hours(person: PersonDays, working_days: Iterable[date]) -> PaidTime:
    """The paid hours of a person over the days on which the shop was open; attendance counts on any day."""
    by_week = _paid_by_week(person, working_days)
    return sum((_paid_here(person, day) for day in person.here), by_week)


def _paid_here(person: PersonDays, day: date) -> PaidTime:
    if week_on(person.weeks, day).weekly_minutes is not None:
        return PaidTime()
    return _paid(person.here[day], person.cost(day), person.on_costs(day))


def _paid_by_week(person: PersonDays, working_days: Iterable[date]) -> PaidTime:
    """Days at one line, one cost and one percentage are rounded together, so that 13 thirds of 25 h are 108.3 h."""
    alike: dict[tuple[PaidWeek, int, int], list[date]] = {}
    for day in working_days:
        week = week_on(person.weeks, day)
        if week.weekly_minutes is not None and week.is_usual(day):
            alike.setdefault((week, person.cost(day), person.on_costs(day)), []).append(day)
    found = PaidTime()
    for (week, cost, on_costs), days in alike.items():
        off = sum(min(person.unpaid.get(day, 0), week.minutes_of(1)) for day in days)
        found += _paid(max(week.minutes_of(len(days)) - off, 0), cost, on_costs)
    return found


def _paid(minutes: int, cost_minor: int, on_costs_permille: int) -> PaidTime:
    wages = labour_cost(minutes, cost_minor)
    return PaidTime(minutes, wages, divide_half_away(wages * on_costs_permille, 1000))


@dataclass(frozen=True, slots=True)
class PersonPaid:
    """One person over some days: what was paid, and what of it jobs carry as labour clocked on them."""

    person_id: int
    name: str
    is_owner: bool
    paid: PaidTime
    clocked_minor: int = 0
    is_known: bool = True
    """False while the owner has not said what an hour costs, or how many are paid."""


@dataclass(frozen=True, slots=True)
class Wages:
    """Everybody's paid hours over some days.

    13,776.00 paid and 9,064.80 of it clocked on jobs leave 4,711.20 that no job carries. The owner's own are apart:
    the owner's pay is what is left, and is subtracted once where it is shown at all.
    """

    people: tuple[PersonPaid, ...] = ()

    @property
    def staff(self) -> tuple[PersonPaid, ...]:
        """All but the owner."""
        return tuple(one for one in self.people if not one.is_owner)

    @property
    def owners(self) -> tuple[PersonPaid, ...]:
        """The owner, or all of them."""
        return tuple(one for one in self.people if one.is_owner)

    @property
    def paid(self) -> PaidTime:
        """What all but the owner are paid."""
        return sum((one.paid for one in self.staff), PaidTime())

    @property
    def on_jobs_minor(self) -> int:
        """Their labour clocked on jobs."""
        return sum(one.clocked_minor for one in self.staff)

    @property
    def no_job_minor(self) -> int:
        """Wages no job carries; below zero more was clocked than paid: a warning."""
        return self.paid.total_minor - self.on_jobs_minor

    @property
    def own_minutes(self) -> int:
        """The owner's paid minutes."""
        return sum(one.paid.minutes for one in self.owners)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Owners of whom nobody knows what they cost, by name."""
        return tuple(one.name for one in self.owners if not one.is_known)

    @property
    def own_pay_minor(self) -> int | None:
        """The owner's paid hours at the owner's cost, nothing on top; None while that is not known."""
        return None if self.unknown or not self.owners else sum(one.paid.wages_minor for one in self.owners)

"""What every part of the demo's story shares: the book, the people, the shop's hours, chance, and what comes when."""

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import count
from random import Random

from sqlalchemy.orm import Session

from shopbook.config import Config
from shopbook.models.shop import Book
from shopbook.trade.countries import Country, known_country
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.permissions import Actor, Role

Deed = Callable[[datetime], None]
"""Something that is done at a moment."""


@dataclass(frozen=True, slots=True)
class DemoPerson:
    """Somebody of the invented shop; what an hour costs in minor units."""

    name: str
    what: str
    roles: tuple[Role, ...]
    skills: tuple[str, ...]
    pin: str
    cost_minor: int


@dataclass(frozen=True, slots=True)
class Shop:
    """The invented shop; the owner comes first, then the desk."""

    name: str
    country: str
    address: str
    phone: str
    tax_number: str
    hour_minor: int
    password: str
    people: tuple[DemoPerson, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the story's table; seed_demo.py says how it is read."""

    days_ago: int
    who: str
    car: str
    hurt: tuple[str, ...]
    end: str
    figure: str
    besides: tuple[tuple[str, str], ...]

    @classmethod
    def read(cls, line: str) -> "Row":
        """A row from its line of text."""
        days_ago, who, car, hurt, ends, besides = line.split("|")
        end, _, figure = ends.partition(":")
        tags = tuple((word.partition(":")[0], word.partition(":")[2]) for word in besides.split())
        return cls(int(days_ago), who, car, tuple(hurt.split()), end, figure, tags)

    def has(self, tag: str) -> bool:
        """Whether that happens besides."""
        return any(name == tag for name, _ in self.besides)

    def word(self, tag: str) -> str:
        """What follows the tag after its colon; empty without."""
        return next((word for name, word in self.besides if name == tag), "")


@dataclass
class Frame:
    """The running story. Deeds wait in `agenda` and are done in the order of their moments, none after `now`."""

    session: Session
    config: Config
    now: datetime
    hours: OpeningHours
    days: list[date]
    """Working days of the story, the last one today or the last before it."""
    people: list[Actor]
    book: Book
    """Held, so that the session does not read its row anew each time somebody asks for the day."""
    rng: Random = field(default_factory=lambda: Random(1507))
    agenda: list[tuple[datetime, int, Deed]] = field(default_factory=list)
    _numbers: Iterator[int] = field(default_factory=count)

    @property
    def country(self) -> Country:
        return known_country(self.book.country)

    @property
    def owner(self) -> Actor:
        return self.people[0]

    @property
    def desk(self) -> Actor:
        return self.people[1]

    @property
    def technicians(self) -> list[Actor]:
        return [person for person in self.people if person.roles == {Role.TECHNICIAN}]

    def day(self, days_ago: int) -> date:
        """The working day so many working days before the last; below zero it lies ahead."""
        return self.days[-1 - days_ago] if days_ago >= 0 else self.hours.add_working_days(self.days[-1], -days_ago)

    def after(self, day: date, working_days: int) -> date:
        """So many working days after a day."""
        return self.hours.add_working_days(day, working_days) if working_days else day

    def at(self, day: date, clock: str) -> datetime:
        """A moment by the shop's wall clock."""
        hour, minute = clock.split(":")
        return self.hours.moment(day, time(int(hour), int(minute)))

    def push(self, moment: datetime, do: Deed) -> None:
        """Let something be done at a moment."""
        heapq.heappush(self.agenda, (moment, next(self._numbers), do))

    def push_near(self, moment: datetime, do: Deed, minutes: int = 25) -> None:
        """Let something be done a little after a moment, as chance will have it."""
        self.push(moment + timedelta(minutes=self.rng.randint(0, minutes)), do)

    def do_next_day(self) -> None:
        """Do all that falls on the day of the next deed."""
        day = self.hours.local_day(self.agenda[0][0])
        while self.has_more() and self.hours.local_day(self.agenda[0][0]) == day:
            moment, _, do = heapq.heappop(self.agenda)
            do(moment)
            self.session.flush()

    def has_more(self) -> bool:
        """Whether anything is left that is not still to come."""
        return bool(self.agenda) and self.agenda[0][0] <= self.now

"""Who is there on a day and what they can do: weeks over opening hours, less absences."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.diary import Absence
from shopbook.models.shop import Person
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.diary.workload import Hand, minutes_there, week_minutes
from shopbook.trade.errors import NotFound
from shopbook.trade.permissions import Actor, Role


@dataclass(frozen=True, slots=True)
class Away:
    """An absence with its person's name."""

    absence: Absence
    name: str


def get_absence(session: Session, absence_id: int) -> Absence:
    """One absence; NotFound when there is none."""
    absence = session.get(Absence, absence_id)
    if absence is None:
        raise NotFound("That time off is not in the diary any more.")
    return absence


def find_absence(session: Session, person_id: int, on: date) -> Absence | None:
    """A person's absence on a day, or None."""
    return session.scalar(select(Absence).where(Absence.person_id == person_id, Absence.on == on))


def list_absences(session: Session, first: date, last: date) -> list[Away]:
    """Absences from `first` to `last`, both included, by day and name; one statement."""
    session.flush()
    rows = session.execute(
        select(Absence, Person.name)
        .join(Person, Person.id == Absence.person_id)
        .where(Absence.on.between(first, last))
        .order_by(Absence.on, Person.name)
    )
    return [Away(absence, name) for absence, name in rows]


def list_workers(shop: ShopOn) -> list[tuple[Actor, int]]:
    """Active technicians and owners who have a skill, with their weekly minutes, by name."""
    weekly = {person.id: person.weekly_minutes for person in shop.people}
    return [
        (actor, weekly[actor.person_id])
        for actor in shop.actors
        if actor.skills and actor.roles - {Role.DESK} and actor.person_id is not None
    ]


def hands_by_day(
    opening: OpeningHours, days: Sequence[date], workers: Sequence[tuple[Actor, int]], absences: Sequence[Away]
) -> dict[date, list[Hand]]:
    """The hands of each day: every worker's minutes, less what the worker is away; no statement."""
    away = {(row.absence.person_id, row.absence.on): row.absence.minutes_away for row in absences}
    week = week_minutes(opening)
    return {
        day: [
            Hand(actor.skills, max(minutes_there(weekly, minutes, week) - away.get((actor.person_id or 0, day), 0), 0))
            for actor, weekly in workers
        ]
        for day, minutes in ((day, opening.working_minutes_on(day)) for day in days)
    }

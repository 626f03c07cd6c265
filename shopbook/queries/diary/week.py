"""The week: for each day, hours promised against hours there, cars against places, cars in and out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import Away, hands_by_day, list_absences, list_workers
from shopbook.queries.diary.later import is_open_promise, late_cars
from shopbook.queries.diary.promised import Minutes, PromisedJob, count_cars, list_promised, sum_minutes, sum_undated
from shopbook.queries.jobs.whole import whole_jobs
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.diary.late import LateCar
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.diary.workload import Hand, share_hands

_HALVES = {HalfDay.MORNING.value: 0, HalfDay.AFTERNOON.value: 2}


@dataclass(frozen=True, slots=True)
class SkillHours:
    """Minutes promised of one skill on a day, and minutes of it that are there."""

    skill: str
    promised_minutes: int
    there_minutes: int
    undated_minutes: int = 0
    """What is left of it on jobs without a promised day; given for today only."""

    @property
    def is_over(self) -> bool:
        """Whether more is promised than can be done."""
        return self.promised_minutes > self.there_minutes


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day. Hours and cars are given from today on: what was promised for a past day is no plan any more."""

    on: date
    is_open: bool
    closed_why: str
    is_past: bool
    hours: tuple[SkillHours, ...]
    cars: int
    coming: tuple[Job, ...]
    going: tuple[Job, ...]
    away: tuple[Away, ...]


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days from a Monday; `undated` are agreed jobs without a promised day, cars and customers loaded."""

    monday: date
    days: tuple[WeekDay, ...]
    bays: int
    has_yard: bool
    undated: tuple[Job, ...]
    undated_minutes: int
    late: Mapping[int, LateCar]
    """Those of its cars that cannot go out as promised, by job id."""


def get_week(session: Session, day: date, now: datetime, shop: ShopOn | None = None) -> Week:
    """The week in which a day falls; a fixed number of statements, however many jobs are promised.

    `shop` is the shop on the day of `now` where it is read already.
    """
    shop = shop or shop_at(session, now)
    today, days = shop.day, _days_of(day)
    promised = list_promised(session, shop.opening, today)
    jobs, away = _dated(session, days[0], days[-1]), list_absences(session, days[0], days[-1])
    hours = _hours_by_day(shop, [each for each in days if each >= today], sum_minutes(promised), away)
    cars = {each: count_cars(promised, each) for each in hours}
    wholes = whole_jobs(session, [job for job in jobs if is_open_promise(job)], with_damages=False)
    return Week(
        monday=days[0],
        days=tuple(_week_day(shop, each, hours.get(each, ()), cars.get(each, 0), jobs, away) for each in days),
        bays=sum(place.is_bay for place in shop.places),
        has_yard=any(not place.is_bay for place in shop.places),
        undated=tuple(_undated(session)),
        undated_minutes=sum(sum_undated(promised).values()),
        late=late_cars(shop, wholes.values(), now, promised),
    )


def _days_of(day: date) -> list[date]:
    """The days of the week in which a day falls, Monday first."""
    monday = day - timedelta(days=day.weekday())
    return [monday + timedelta(days=later) for later in range(7)]


def _week_day(
    shop: ShopOn, on: date, hours: tuple[SkillHours, ...], cars: int, jobs: Sequence[Job], away: Sequence[Away]
) -> WeekDay:
    return WeekDay(
        on=on,
        is_open=shop.opening.is_working_day(on),
        closed_why=shop.closed.get(on, ""),
        is_past=on < shop.day,
        hours=hours,
        cars=cars,
        coming=tuple(sorted((job for job in jobs if job.drop_off_on == on), key=_coming)),
        going=tuple(sorted((job for job in jobs if job.promise_on == on), key=_going)),
        away=tuple(row for row in away if row.absence.on == on),
    )


def hours_of_today(
    shop: ShopOn, promised: Sequence[PromisedJob] | None = None, away: Sequence[Away] | None = None
) -> tuple[SkillHours, ...]:
    """Hours promised and there of the shop's day, by skill, and what is left of jobs that have no day yet.

    `promised` are the open jobs of the diary, `away` the absences of the day and after, where they are read already.
    """
    session, today = shop.session, shop.day
    promised = list_promised(session, shop.opening, today) if promised is None else promised
    undated = sum_undated(promised)
    absences = (
        list_absences(session, today, today) if away is None else [each for each in away if each.absence.on == today]
    )
    found = _hours_by_day(shop, [today], sum_minutes(promised), absences)[today]
    return tuple(replace(one, undated_minutes=undated.get(one.skill, 0)) for one in found)


def _hours_by_day(
    shop: ShopOn, days: Sequence[date], taken: Minutes, absences: Sequence[Away]
) -> dict[date, tuple[SkillHours, ...]]:
    if not days:
        return {}
    hands = hands_by_day(shop.opening, days, list_workers(shop), absences)
    return {day: _hours(day, there, taken) for day, there in hands.items()}


def _hours(day: date, hands: Sequence[Hand], taken: Minutes) -> tuple[SkillHours, ...]:
    """Every skill that somebody has or that work is promised for, in the order of the trade."""
    wanted = {skill.value: taken.get((day, skill.value), 0) for skill in Skill}
    there = share_hands(hands, wanted)
    known = {skill for hand in hands for skill in hand.skills}
    return tuple(
        SkillHours(skill.value, wanted[skill.value], there.get(skill.value, 0))
        for skill in Skill
        if skill.value in known or wanted[skill.value]
    )


def _dated(session: Session, first: date, last: date) -> list[Job]:
    asked = (
        select(Job)
        .where(
            or_(Job.drop_off_on.between(first, last), Job.promise_on.between(first, last)),
            Job.called_off_at.is_(None),
            ~Job.is_sample,
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
    )
    return list(session.scalars(asked))


def _undated(session: Session) -> list[Job]:
    """Approved jobs, or cars in the shop, that have no promised day yet."""
    asked = (
        select(Job)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.handed_over_at.is_(None),
            Job.ready_at.is_(None),
            Job.promise_on.is_(None),
            Job.agreed_at.is_not(None) | Job.came_at.is_not(None),
            ~Job.is_sample,
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
        .order_by(Job.number)
    )
    return list(session.scalars(asked))


def _coming(job: Job) -> tuple[int, int]:
    return (_HALVES.get(job.drop_off_half, 1), job.number)


def _going(job: Job) -> tuple[int, int]:
    return (_HALVES.get(job.promise_half, 1), job.number)

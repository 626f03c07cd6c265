"""What is promised already: the work left on every promised car spread over its days, and the days it is here."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.workload import lay_over_days

UNPROMISED_DAYS = 5
"""A car in the shop without a promised day, or not picked up on it, counts as here for so many more working days."""

Minutes = dict[tuple[date, str], int]


@dataclass(frozen=True, slots=True)
class PromisedJob:
    """One open job: what is left of it by day and skill, and from when to when it needs a place (None: not at all)."""

    job_id: int
    number: int
    minutes: Minutes
    stands: tuple[date, date] | None
    due: tuple[date, int]
    """Its promise in order: the day, and whether it is for the morning (0) or later (1)."""
    undated: dict[str, int]
    """What is left of it by skill while no day is promised, so that it is on no day."""
    is_here: bool
    """Whether the car is in the shop."""
    work: tuple[tuple[str, int], ...] = ()
    """Its open stages in order, as skill and minutes that are left."""

    @property
    def left_minutes(self) -> int:
        """Man-minutes that are left of it."""
        return sum(minutes for _, minutes in self.work)


@dataclass(slots=True)
class _Left:
    job: Job
    work: list[tuple[str, int]] = field(default_factory=list)


def list_promised(session: Session, opening: OpeningHours, today: date) -> list[PromisedJob]:
    """Every open job that is approved, has a promised day or a car in the shop, by number; one statement.

    Its work counts between the day it comes (or today) and the half-day it is promised for; work that is past its
    promise counts today. Without a promised day it takes a place if it is here, but no hours of any day.
    """
    return [as_promised(each.job, each.work, opening, today) for each in _left(session)]


def as_promised(job: Job, work: Sequence[tuple[str, int]], opening: OpeningHours, today: date) -> PromisedJob:
    """One open job with the work that is left of it, laid over the days that it has; no statement."""
    return PromisedJob(
        job_id=job.id,
        number=job.number,
        minutes=_laid(job, work, opening, today),
        stands=_stands(job, opening, today),
        due=due_of(job),
        undated={} if job.promise_on else _by_skill(work),
        is_here=job.came_at is not None,
        work=tuple(work),
    )


def _by_skill(work: Sequence[tuple[str, int]]) -> dict[str, int]:
    found: dict[str, int] = {}
    for skill, minutes in work:
        found[skill] = found.get(skill, 0) + minutes
    return found


def sum_undated(jobs: Sequence[PromisedJob]) -> dict[str, int]:
    """Minutes left, by skill, of all for which no day is promised."""
    return _by_skill([each for job in jobs for each in job.undated.items()])


def due_of(job: Job) -> tuple[date, int]:
    """The order of a promise: work that is due first is done first; a job without one comes last."""
    return (job.promise_on or date.max, 0 if job.promise_half == HalfDay.MORNING else 1)


def sum_minutes(jobs: Sequence[PromisedJob], besides: Job | None = None) -> Minutes:
    """Promised minutes by day and skill; for one job, only those of other jobs that are not due after it."""
    found: Minutes = {}
    for job in jobs:
        if besides is None or (job.job_id != besides.id and job.due <= due_of(besides)):
            for key, minutes in job.minutes.items():
                found[key] = found.get(key, 0) + minutes
    return found


def count_cars(jobs: Sequence[PromisedJob], day: date, besides_id: int | None = None) -> int:
    """How many cars need a place on a day."""
    return sum(
        job.stands is not None and job.stands[0] <= day <= job.stands[1] for job in jobs if job.job_id != besides_id
    )


def _left(session: Session) -> list[_Left]:
    session.flush()
    is_open = (
        Job.settled_at.is_(None),
        Job.called_off_at.is_(None),
        Job.handed_over_at.is_(None),
        ~Job.is_sample,
        Job.promise_on.is_not(None) | Job.came_at.is_not(None) | Job.agreed_at.is_not(None),
    )
    used = select(func.sum(ClockShare.minutes)).where(ClockShare.stage_id == Stage.id).scalar_subquery()
    rows = session.execute(
        select(Job, Stage, used)
        .outerjoin(Stage, (Stage.job_id == Job.id) & Stage.struck_at.is_(None) & Stage.finished_at.is_(None))
        .where(*is_open)
        .order_by(Job.number, Stage.position, Stage.id)
    )
    found: dict[int, _Left] = {}
    for job, stage, minutes in rows:
        left = found.setdefault(job.id, _Left(job))
        if stage is not None and job.ready_at is None:
            left.work.append((stage.skill, max(stage.planned_minutes - int(minutes or 0), 0)))
    return list(found.values())


def _laid(job: Job, work: Sequence[tuple[str, int]], opening: OpeningHours, today: date) -> Minutes:
    if job.promise_on is None or not any(minutes for _, minutes in work):
        return {}
    return lay_over_days(work, _window(job, opening, today))


def _window(job: Job, opening: OpeningHours, today: date) -> list[tuple[date, int]]:
    """The days between coming and promise with their open minutes; the next open day where none is left."""
    first = today if job.came_at is not None or job.drop_off_on is None else max(job.drop_off_on, today)
    last = max(job.promise_on or first, first)
    days = [
        (day, _open_minutes(job, opening, day, is_first=day == job.drop_off_on and job.came_at is None))
        for day in opening.working_days(first, last)
    ]
    if any(minutes for _, minutes in days):
        return days
    return [(opening.add_working_days(first, 0), 1)]


def _open_minutes(job: Job, opening: OpeningHours, day: date, *, is_first: bool) -> int:
    stretches = opening.stretches_on(day)
    begins, ends = stretches[0][0], stretches[-1][1]
    if is_first and job.drop_off_half == HalfDay.AFTERNOON:
        begins = opening.end_of_half(day, HalfDay.MORNING)
    if day == job.promise_on and job.promise_half == HalfDay.MORNING:
        ends = opening.end_of_half(day, HalfDay.MORNING)
    return opening.working_minutes_between(begins, ends)


def _stands(job: Job, opening: OpeningHours, today: date) -> tuple[date, date] | None:
    if job.came_at is not None:
        is_unfetched = job.ready_at is not None and job.promise_on is not None and job.promise_on < today
        is_open_end = job.promise_on is None or is_unfetched
        last = opening.add_working_days(today, UNPROMISED_DAYS) if is_open_end else job.promise_on or today
        return (min(job.drop_off_on or today, today), max(last, today))
    if job.drop_off_on is None or job.promise_on is None:
        return None
    first = max(job.drop_off_on, today)
    return (first, max(job.promise_on, first))

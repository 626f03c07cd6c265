"""One job, and the ledger's tabs with their pages and counts."""

from collections.abc import Iterable
from datetime import date
from enum import StrEnum

from sqlalchemy import ColumnElement, Select, func, select, tuple_
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.trade.errors import NotFound
from shopbook.trade.purposes import JobPurpose, is_paid_for
from shopbook.trade.standing import Moments, Standing, standing_of

_NO_DAY = date(2999, 12, 31)


class Tab(StrEnum):
    """The tabs of the ledger."""

    OPEN = "open"
    BOOKED = "booked"
    QUOTED = "quoted"
    AGREED = "agreed"
    IN_WORK = "in_work"
    READY = "ready"
    HANDED_OVER = "handed_over"
    ALL = "all"


TAB_WORDS: dict[Tab, str] = {
    Tab.OPEN: "Open",
    Tab.BOOKED: "Booked in",
    Tab.QUOTED: "Quoted",
    Tab.AGREED: "Approved",
    Tab.IN_WORK: "In progress",
    Tab.READY: "Ready",
    Tab.HANDED_OVER: "Handed over, not settled",
    Tab.ALL: "All",
}

_HERE = (Job.called_off_at.is_(None), Job.handed_over_at.is_(None))
_UNBEGUN = (*_HERE, Job.begun_at.is_(None), Job.ready_at.is_(None))
_QUOTED = (Job.purpose == JobPurpose.PAID, Job.agreed_at.is_(None), Job.quoted_at.is_not(None))
_STANDS: dict[Tab, tuple[ColumnElement[bool], ...]] = {
    Tab.OPEN: _HERE,
    Tab.BOOKED: (
        *_UNBEGUN,
        (Job.purpose != JobPurpose.PAID) | (Job.agreed_at.is_(None) & Job.quoted_at.is_(None)),
    ),
    Tab.QUOTED: (*_UNBEGUN, *_QUOTED),
    Tab.AGREED: (*_UNBEGUN, Job.purpose == JobPurpose.PAID, Job.agreed_at.is_not(None)),
    Tab.IN_WORK: (*_HERE, Job.ready_at.is_(None), Job.begun_at.is_not(None)),
    Tab.READY: (*_HERE, Job.ready_at.is_not(None)),
    Tab.HANDED_OVER: (Job.called_off_at.is_(None), Job.handed_over_at.is_not(None), Job.settled_at.is_(None)),
    Tab.ALL: (),
}


def job_standing(job: Job) -> Standing:
    """Where a job stands."""
    return standing_of(moments_of(job))


def moments_of(job: Job) -> Moments:
    """The moments that a job's standing is read from."""
    return Moments(
        quoted_at=job.quoted_at,
        agreed_at=job.agreed_at,
        begun_at=job.begun_at,
        ready_at=job.ready_at,
        handed_over_at=job.handed_over_at,
        settled_at=job.settled_at,
        called_off_at=job.called_off_at,
        is_paid_for=is_paid_for(job.purpose),
    )


def get_job(session: Session, number: int) -> Job:
    """One job by its number, car and customer loaded; NotFound when there is none."""
    return _one(session, select(Job).where(Job.number == number))


def get_job_by_id(session: Session, job_id: int) -> Job:
    """One job by its id, car and customer loaded; NotFound when there is none."""
    return _one(session, select(Job).where(Job.id == job_id))


def _one(session: Session, asked: Select[Job]) -> Job:
    job = session.scalar(asked.options(joinedload(Job.customer), joinedload(Job.vehicle)))
    if job is None:
        raise NotFound("This job is not in the book. Check the number.")
    return job


def list_jobs(session: Session, which: Tab | str = Tab.OPEN, after: str = "", limit: int = 50) -> list[Job]:
    """One page of a tab, cars and customers loaded.

    Ordered by the promised day, jobs without one last; the tab of all jobs newest first. `after` is what `page_mark`
    says of the last job of the page before; one that cannot be read begins anew.
    """
    tab = Tab(which)
    asked = select(Job).where(*_shown(tab)).options(joinedload(Job.customer), joinedload(Job.vehicle))
    mark = _read_mark(after)
    if tab is Tab.ALL:
        asked = asked.order_by(Job.id.desc())
        if mark:
            asked = asked.where(Job.id < mark[1])
    else:
        promised = func.coalesce(Job.promise_on, _NO_DAY)
        asked = asked.order_by(promised, Job.id)
        if mark:
            asked = asked.where(tuple_(promised, Job.id) > tuple_(mark[0], mark[1]))
    return list(session.scalars(asked.limit(limit)))


def page_mark(job: Job) -> str:
    """What the next page asks for as `after`, once this job was the last of a page."""
    return f"{(job.promise_on or _NO_DAY).isoformat()}.{job.id}"


def _read_mark(after: str) -> tuple[date, int] | None:
    day, _, key = after.partition(".")
    try:
        return date.fromisoformat(day), int(key)
    except ValueError:
        return None


def _shown(tab: Tab) -> tuple[ColumnElement[bool], ...]:
    """A sample that was removed but had to stay (a ledger knows it) is shown nowhere."""
    return (*_STANDS[tab], ~(Job.is_sample & Job.called_off_at.is_not(None)))


TAB_COUNTS = [func.count().filter(*_shown(tab)) for tab in Tab]
"""How many jobs each tab holds, for whoever reads the table of jobs."""


def find_sample(session: Session) -> Job | None:
    """The sample job, while it has not been removed."""
    return session.scalar(select(Job).where(Job.is_sample, Job.called_off_at.is_(None)).limit(1))


def list_jobs_by_id(session: Session, job_ids: Iterable[int]) -> dict[int, Job]:
    """Jobs with car and customer, by id; none asks nothing."""
    wanted = list(job_ids)
    if not wanted:
        return {}
    asked = select(Job).where(Job.id.in_(wanted)).options(joinedload(Job.customer), joinedload(Job.vehicle))
    return {job.id: job for job in session.scalars(asked)}


def list_jobs_by_number(session: Session, numbers: Iterable[int]) -> dict[int, Job]:
    """Jobs with car and customer, by number; none asks nothing."""
    wanted = list(numbers)
    if not wanted:
        return {}
    asked = select(Job).where(Job.number.in_(wanted)).options(joinedload(Job.customer), joinedload(Job.vehicle))
    return {job.number: job for job in session.scalars(asked)}

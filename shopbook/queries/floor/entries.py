"""The clock ledger: what counts of it for a day, a person, a stage or a job."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased, selectinload

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.models.shop import Person
from shopbook.trade.errors import NotFound
from shopbook.trade.floor.readiness import NEEDS_APPROVAL


def get_entry(session: Session, entry_id: int) -> ClockEntry:
    """One entry with its shares; NotFound when there is none."""
    session.flush()
    entry = session.scalar(select(ClockEntry).where(ClockEntry.id == entry_id).options(selectinload(ClockEntry.shares)))
    if entry is None:
        raise NotFound("There is no such clock entry.")
    return entry


def is_taken_back(session: Session, entry_id: int) -> bool:
    """Whether a later line removed this entry."""
    return session.scalar(select(ClockEntry.id).where(ClockEntry.reverses_id == entry_id)) is not None


def list_entries(
    session: Session, first: date, last: date, person_id: int | None = None, *, with_shares: bool = True
) -> list[ClockEntry]:
    """The entries that count from `first` to `last` in order of time, their shares loaded if wanted; two statements.

    Removed entries, and the lines that removed them, are left out.
    """
    session.flush()
    back = aliased(ClockEntry)
    asked = (
        select(ClockEntry)
        .outerjoin(back, back.reverses_id == ClockEntry.id)
        .where(ClockEntry.on.between(first, last), ClockEntry.reverses_id.is_(None), back.id.is_(None))
        .order_by(ClockEntry.started_at, ClockEntry.id)
    )
    if with_shares:
        asked = asked.options(selectinload(ClockEntry.shares))
    if person_id is not None:
        asked = asked.where(ClockEntry.person_id == person_id)
    return list(session.scalars(asked))


@dataclass(frozen=True, slots=True)
class StageTime:
    """What one person put into one stage: minutes, and when the last of them ended."""

    stage_id: int
    person: str
    minutes: int
    last_at: datetime


def time_by_stage(session: Session, job_ids: Iterable[int]) -> dict[int, list[StageTime]]:
    """Who worked how long on each stage of these jobs, by stage id, the most minutes first; one statement."""
    session.flush()
    lines = session.execute(
        select(
            ClockShare.stage_id,
            Person.name,
            func.sum(ClockShare.minutes),
            func.max(ClockEntry.stopped_at),
        )
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Person, Person.id == ClockEntry.person_id)
        .where(ClockShare.job_id.in_(list(job_ids)))
        .group_by(ClockShare.stage_id, Person.name)
        .order_by(func.sum(ClockShare.minutes).desc(), Person.name)
    )
    found: dict[int, list[StageTime]] = {}
    for stage_id, name, minutes, last_at in lines:
        if minutes:
            found.setdefault(stage_id, []).append(StageTime(stage_id, name, int(minutes), last_at))
    return found


@dataclass(frozen=True, slots=True)
class Unagreed:
    """Work on a stage that is not approved, so that it cannot be billed."""

    job_id: int
    number: int
    stage_id: int
    stage: str
    minutes: int


def list_unagreed_work(session: Session, last: date = date.max) -> list[Unagreed]:
    """Stages of open jobs that were worked on up to a day and need approval but have none, by job; one statement."""
    session.flush()
    minutes = func.sum(ClockShare.minutes)
    lines = session.execute(
        select(Stage.job_id, Job.number, Stage.id, Stage.name, minutes)
        .join(Job, Job.id == Stage.job_id)
        .join(ClockShare, ClockShare.stage_id == Stage.id)
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .where(
            ClockEntry.on <= last,
            Stage.purpose.in_(NEEDS_APPROVAL),
            Stage.agreed_at.is_(None),
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
        )
        .group_by(Stage.job_id, Job.number, Stage.id, Stage.name)
        .having(minutes > 0)
        .order_by(Job.number, Stage.id)
    )
    return [Unagreed(job, number, key, name, int(took)) for job, number, key, name, took in lines]

"""The jobs that a person was last at: what the log and the clocks say of the last two weeks."""

from datetime import date, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job
from shopbook.models.shop import LogLine

DAYS = timedelta(days=14)
MOST = 6


def list_recent(session: Session, person_id: int, today: date) -> list[Job]:
    """The jobs on which a person did something or was clocked, the last one first; cars and customers loaded.

    Looked at is nothing that the book keeps. Of Noor, who priced 64 at 9:00, 61 at 9:20 and 64 again at 9:40, with a
    clock on 62 that stopped at 9:30: 64, 62, 61.
    """
    since = today - DAYS
    done = select(LogLine.job_id, func.max(LogLine.at)).where(
        LogLine.person_id == person_id, LogLine.on >= since, LogLine.job_id.is_not(None)
    )
    worked = (
        select(ClockShare.job_id, func.max(ClockEntry.stopped_at))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .where(ClockEntry.person_id == person_id, ClockEntry.on >= since)
    )
    last: dict[int | None, datetime] = {}
    for asked in (done.group_by(LogLine.job_id), worked.group_by(ClockShare.job_id)):
        for job_id, at in session.execute(asked):
            last[job_id] = max(at, last.get(job_id, at))
    newest = sorted(last, key=lambda job_id: last[job_id], reverse=True)[:MOST]
    jobs = select(Job).where(Job.id.in_(newest)).options(joinedload(Job.vehicle), joinedload(Job.customer))
    return sorted(session.scalars(jobs), key=lambda job: newest.index(job.id)) if newest else []

"""Customers who want a call, as noted on the floor."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.shop import LogLine
from shopbook.queries.floor.clocks import names_of

WANTS_CALL = "note_wants_call"
CALLED = "note_called"


@dataclass(frozen=True, slots=True)
class CallWanted:
    """A call that was asked for and not made yet."""

    job_id: int
    number: int
    words: str
    at: datetime
    noted_by: str


def list_calls_wanted(session: Session, names: Mapping[int, str] | None = None) -> list[CallWanted]:
    """Open jobs whose customer asked to be called after the last call, the oldest first.

    Two statements; one where the `names` of people are read already.
    """
    session.flush()
    here = select(Job.id).where(Job.settled_at.is_(None), Job.called_off_at.is_(None), Job.handed_over_at.is_(None))
    latest = (
        select(func.max(LogLine.id))
        .where(LogLine.subject == "job", LogLine.subject_id.in_(here), LogLine.act.in_((WANTS_CALL, CALLED)))
        .group_by(LogLine.subject_id)
    )
    lines = session.execute(
        select(LogLine, Job.number)
        .join(Job, Job.id == LogLine.subject_id)
        .where(LogLine.id.in_(latest), LogLine.act == WANTS_CALL)
        .order_by(LogLine.id)
    ).all()
    if names is None:
        names = names_of(session, [line.person_id for line, _ in lines if line.person_id is not None])
    return [
        CallWanted(line.subject_id or 0, number, line.words, line.at, names.get(line.person_id or 0, ""))
        for line, number in lines
    ]

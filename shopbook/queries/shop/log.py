"""The log, read back whole, for one job or for one subject."""

from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shop import LogLine

LATE_PRESS = "late_press"
"""The subject of a line about a press that reached the book late, or never; its key is the person's."""


def list_log(
    session: Session,
    *,
    job_id: int | None = None,
    person_id: int | None = None,
    subject: str = "",
    since: date | None = None,
    before: int | None = None,
    limit: int = 50,
) -> list[LogLine]:
    """The newest lines of the log, newest first; only of one job, person or subject, or since a day, where it is given.

    With `before` those older than that line. One person's lines are found by their days: a caller names `since` too.
    """
    asked = select(LogLine).order_by(LogLine.id.desc()).limit(limit)
    wanted = ((LogLine.job_id, job_id), (LogLine.person_id, person_id), (LogLine.subject, subject or None))
    for column, value in wanted:
        asked = asked if value is None else asked.where(column == value)
    if since is not None:
        asked = asked.where(LogLine.on >= since)
    return list(session.scalars(asked if before is None else asked.where(LogLine.id < before)))


def list_job_log(session: Session, job_id: int, limit: int = 50) -> list[LogLine]:
    """The newest lines of one job's log, newest first."""
    return list(
        session.scalars(select(LogLine).where(LogLine.job_id == job_id).order_by(LogLine.id.desc()).limit(limit))
    )


def list_subject_log(session: Session, subject: str, subject_id: int, limit: int = 50) -> list[LogLine]:
    """The newest lines about one thing that is no job, newest first."""
    return list(
        session.scalars(
            select(LogLine)
            .where(LogLine.subject == subject, LogLine.subject_id == subject_id)
            .order_by(LogLine.id.desc())
            .limit(limit)
        )
    )


def list_late_presses(session: Session, person_id: int, on: date) -> list[str]:
    """Of a person's day: when each press that came late was made, and when it arrived; in words, in order of time."""
    asked = select(LogLine.words).where(
        LogLine.subject == LATE_PRESS, LogLine.subject_id == person_id, LogLine.on == on
    )
    return list(session.scalars(asked.order_by(LogLine.at, LogLine.id)))


def first_act_on(session: Session) -> date | None:
    """The day of the first thing that anybody did in this book; None while nobody did."""
    return session.scalar(select(func.min(LogLine.on)))

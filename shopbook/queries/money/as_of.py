"""Which jobs have to be read for what was owed or held at the end of a day."""

from datetime import UTC, date, datetime, time

from sqlalchemy import ColumnElement

from shopbook.models.jobs import Job


def open_after(day: date) -> ColumnElement[bool]:
    """Jobs of which something may have been open at the end of a day: all that are open now or were settled since.

    It only spares reading the others: when a job is settled nothing is owed on it either way.
    """
    if day == date.max:
        return Job.settled_at.is_(None)
    return Job.settled_at.is_(None) | (Job.settled_at >= datetime.combine(day, time(), UTC))

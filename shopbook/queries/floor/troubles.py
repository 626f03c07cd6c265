"""Troubles as they were reported."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Trouble


def list_troubles(session: Session, job_id: int) -> list[Trouble]:
    """The troubles of one job, oldest first."""
    session.flush()
    return list(session.scalars(select(Trouble).where(Trouble.job_id == job_id).order_by(Trouble.id)))

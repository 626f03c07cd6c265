"""What is bought for one job."""

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart
from shopbook.trade.errors import NotFound


def list_parts(session: Session, job_id: int, *, with_struck: bool = False) -> list[JobPart]:
    """Parts, colour, sublet work and fees of a job, in the order in which they were added."""
    asked = select(JobPart).where(JobPart.job_id == job_id).order_by(JobPart.id)
    return list(session.scalars(asked if with_struck else asked.where(JobPart.struck_at.is_(None))))


def get_part(session: Session, part_id: int) -> JobPart:
    """One of them; NotFound when there is none."""
    part = session.get(JobPart, part_id)
    if part is None:
        raise NotFound("This part is not in the book. Go back and look at the job again.")
    return part


def parts_by_id(session: Session, part_ids: Iterable[int]) -> dict[int, JobPart]:
    """Parts by id; one statement."""
    wanted = list(part_ids)
    if not wanted:
        return {}
    return {part.id: part for part in session.scalars(select(JobPart).where(JobPart.id.in_(wanted)))}

"""Which jobs a job came back as, and which one it comes back from."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job


def list_comebacks(session: Session, job_id: int) -> list[int]:
    """The numbers of the jobs that this one came back as, oldest first."""
    return list(session.scalars(select(Job.number).where(Job.comeback_of_id == job_id).order_by(Job.number)))


def find_first_job(session: Session, job: Job) -> int | None:
    """The number of the job that this one comes back from; None where it does not."""
    return session.scalar(select(Job.number).where(Job.id == job.comeback_of_id)) if job.comeback_of_id else None

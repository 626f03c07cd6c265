"""Which jobs a job came back as, and which one it comes back from."""

from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job


def list_comebacks(session: Session, job_id: int) -> list[int]:
    """The numbers of the jobs that this one came back as, oldest first."""
    return list(session.scalars(select(Job.number).where(Job.comeback_of_id == job_id).order_by(Job.number)))


def find_first_job(session: Session, job: Job) -> int | None:
    """The number of the job that this one comes back from; None where it does not."""
    return session.scalar(select(Job.number).where(Job.id == job.comeback_of_id)) if job.comeback_of_id else None


def comebacks_of(session: Session, job_ids: Collection[int]) -> list[tuple[int, int]]:
    """(first job, comeback) by id for each of these jobs, comebacks of its comebacks too; one statement."""
    chain = (
        select(Job.comeback_of_id.label("first_id"), Job.id.label("back_id"))
        .where(Job.comeback_of_id.in_(job_ids))
        .cte(recursive=True)
    )
    chain = chain.union(select(chain.c.first_id, Job.id).join(chain, Job.comeback_of_id == chain.c.back_id))
    return [(first, back) for first, back in session.execute(select(chain.c.first_id, chain.c.back_id))]

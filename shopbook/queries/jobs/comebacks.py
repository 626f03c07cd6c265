"""Which jobs a job came back as, and which one it comes back from."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job


def find_first_job(session: Session, job: Job) -> int | None:
    """The number of the job that this one comes back from; None where it does not."""
    return session.scalar(select(Job.number).where(Job.id == job.comeback_of_id)) if job.comeback_of_id else None


@dataclass(frozen=True, slots=True)
class Comeback:
    """A job that another one came back as, at once or as a comeback of a comeback; jobs by id, and its number."""

    first_id: int
    after_id: int
    job_id: int
    number: int


def comebacks_of(session: Session, job_ids: Collection[int]) -> list[Comeback]:
    """The comebacks of each of these jobs, comebacks of its comebacks too, by number; one statement."""
    chain = (
        select(Job.comeback_of_id.label("first_id"), Job.id.label("back_id"))
        .where(Job.comeback_of_id.in_(job_ids))
        .cte(recursive=True)
    )
    chain = chain.union(select(chain.c.first_id, Job.id).join(chain, Job.comeback_of_id == chain.c.back_id))
    asked = select(chain.c.first_id, Job.comeback_of_id, Job.id, Job.number).join(Job, Job.id == chain.c.back_id)
    return [Comeback(*row) for row in session.execute(asked.order_by(Job.number))]

"""Open jobs that a price at the car may belong to: never a second one by accident."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import exists, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Damage, Job
from shopbook.models.money import Quote
from shopbook.trade.purposes import JobPurpose

_BARE = (
    ~exists().where(Quote.job_id == Job.id)
    & ~exists().where(Damage.job_id == Job.id, Damage.struck_at.is_(None))
    & Job.agreed_at.is_(None)
)


@dataclass(frozen=True, slots=True)
class OpenJob:
    """An open job of that car or customer. `is_bare`: nothing was priced, found or approved on it yet."""

    job: Job
    is_bare: bool


def open_jobs_of(session: Session, customer_ids: Collection[int], vehicle_ids: Collection[int]) -> list[OpenJob]:
    """Paid jobs of these people or cars whose car has not left, newest first, customer and car loaded."""
    if not customer_ids and not vehicle_ids:
        return []
    is_theirs = Job.customer_id.in_(list(customer_ids)) | Job.vehicle_id.in_(list(vehicle_ids))
    asked = select(Job, _BARE).where(
        is_theirs,
        Job.called_off_at.is_(None),
        Job.handed_over_at.is_(None),
        Job.purpose == JobPurpose.PAID,
        Job.is_sample.is_(False),
    )
    rows = session.execute(asked.options(joinedload(Job.customer), joinedload(Job.vehicle)).order_by(Job.id.desc()))
    return [OpenJob(job, bool(is_bare)) for job, is_bare in rows]


def is_bare(session: Session, job_id: int) -> bool:
    """Whether nothing was priced, found or approved on a job yet."""
    return bool(session.scalar(select(_BARE).select_from(Job).where(Job.id == job_id)))

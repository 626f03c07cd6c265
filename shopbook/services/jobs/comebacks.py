"""A car that comes back: a new job linked to the one that was handed over."""

from datetime import date

from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import open_job, plan_days
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import JobPurpose


def open_comeback(
    act: Act,
    job_id: int,
    *,
    wrong: str,
    why: str = "",
    drop_off_on: date | None = None,
    drop_off_half: str = "",
) -> Job:
    """A job for the same car and customer for what is wrong now; its cost counts in the month in which it is spent.

    RuleBroken before the first job was handed over (then it is rework on that job), and without a line that says what
    is wrong.
    """
    first = get_job_by_id(act.session, job_id)
    if first.handed_over_at is None:
        raise RuleBroken("This car has not left yet. Add a rework stage to its plan instead.")
    job = open_job(
        act,
        customer_id=first.customer_id,
        vehicle_id=first.vehicle_id,
        wrong=wrong,
        payer_kind=first.payer_kind,
        purpose=JobPurpose.COMEBACK,
        comeback_of_id=first.id,
        comeback_why=why.strip(),
    )
    if drop_off_on is not None:
        plan_days(act, job.id, drop_off_on, drop_off_half, None, "")
    return job

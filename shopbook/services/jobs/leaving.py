"""A car leaves: marked ready, the customer told, handed over, and settled once nothing is owed."""

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.services.act import Act
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.history import log_job
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.next_act import LAST_STAGES
from shopbook.trade.purposes import JobPurpose

LONGEST_NAME = 200


def open_stages(stages: Collection[Stage]) -> list[Stage]:
    """Stages that should be done before a car is marked ready: agreed or begun ones, but for the last of all."""
    return [
        stage
        for stage in stages
        if stage.finished_at is None
        and stage.code not in LAST_STAGES
        and (stage.agreed_at is not None or stage.begun_at is not None)
    ]


def mark_ready(act: Act, job_id: int, *, with_open_stages: bool = False) -> Job:
    """Mark the car ready. RuleBroken for a paid job without approval, or with stages open unless they may stay open."""
    job = get_job_by_id(act.session, job_id)
    refuse_over(job)
    if job.agreed_at is None and job.purpose == JobPurpose.PAID:
        raise RuleBroken("This job is not approved yet. Save the approval first.")
    names = [stage.name for stage in open_stages(list_bare_stages(act.session, job.id))]
    left = len(names)
    if left and not with_open_stages:
        raise RuleBroken(f"Not finished: {_named(names)}. Finish or remove it, or mark ready anyway.", "open_stages")
    job.ready_at = job.ready_at or act.moment
    log_job(
        act,
        "mark_ready",
        job,
        f"Marked ready with {left} stage{'s' if left != 1 else ''} open" if left else "Marked ready",
    )
    return job


def _named(names: Sequence[str]) -> str:
    """The first three by name, and how many more."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more


def take_ready_back(act: Act, job_id: int) -> Job:
    """Put a ready car back in work."""
    job = get_job_by_id(act.session, job_id)
    refuse_over(job)
    job.ready_at = job.told_ready_at = None
    log_job(act, "take_ready_back", job, "Put back in progress")
    return job


def tell_ready(act: Act, job_id: int) -> Job:
    """The customer was told that the car is ready."""
    job = get_job_by_id(act.session, job_id)
    if job.ready_at is None:
        raise RuleBroken("Mark the car ready first.")
    job.told_ready_at = act.moment
    log_job(act, "tell_ready", job, "Told the customer the car is ready")
    return job


def mark_handed_over(act: Act, job: Job, taken_by: str = "") -> None:
    """The car left with the customer, or with whom `taken_by` names; the log names nobody.

    Conflict when it had already left; RuleBroken for a cancelled job or a name longer than a line.
    """
    if job.handed_over_at is not None:
        raise Conflict("This car was already handed over.")
    refuse_over(job)
    if len(taken_by.strip()) > LONGEST_NAME:
        raise RuleBroken(f"Enter a name of at most {LONGEST_NAME} characters.", "taken_by")
    job.handed_over_at, job.handed_over_on, job.taken_by = act.moment, act.day, taken_by.strip()
    job.place_id, job.key_number = None, ""
    job.revision += 1
    log_job(act, "mark_handed_over", job, "Handed over")


def mark_settled(session: Session, moment: datetime, job: Job) -> bool:
    """Nothing is owed any more. Only a job whose car has left is settled: before that, nothing is set and the answer is
    False."""
    if job.handed_over_at is None:
        return False
    job.settled_at = job.settled_at or moment
    session.flush()
    return True


def mark_unsettled(session: Session, job: Job) -> None:
    """Something is owed again: a payment was reversed, or a follow-up invoice issued."""
    job.settled_at = None
    session.flush()

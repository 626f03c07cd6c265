"""A stage is begun, done, or not done after all; the job's own moments follow."""

from collections.abc import Sequence
from datetime import datetime

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.jobs import get_job_by_id, list_jobs_by_id
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.trade.errors import Conflict, RuleBroken


def begin_stages(act: Act, stages: Sequence[Stage]) -> None:
    """Work on these began at `now`; the earliest moment counts, also for their jobs, whose cars are then here.

    RuleBroken for a stage that was removed or is done, or a job that is over.
    """
    jobs = list_jobs_by_id(act.session, {stage.job_id for stage in stages})
    for stage in stages:
        refuse_over(jobs[stage.job_id])
        if stage.struck_at is not None:
            raise RuleBroken("This stage was removed from the plan. Restore it first.")
        if stage.finished_at is not None:
            raise RuleBroken("This stage is done. Reopen it, or report trouble to add rework.")
        stage.begun_at = min(stage.begun_at or act.moment, act.moment)
        _mark_begun(act.moment, jobs[stage.job_id])
    act.session.flush()


def _mark_begun(now: datetime, job: Job) -> None:
    job.begun_at = min(job.begun_at or now, now)
    job.came_at = min(job.came_at or now, now)


def end_stages(act: Act, stages: Sequence[Stage]) -> None:
    """They are done; drying runs from `now`. Conflict when one was already done."""
    for stage in stages:
        if stage.finished_at is not None:
            raise Conflict("This stage is already finished.")
        if stage.struck_at is not None:
            raise RuleBroken("This stage was removed from the plan. Restore it first.")
        stage.begun_at = min(stage.begun_at or act.moment, act.moment)
        stage.finished_at, stage.finished_by_id = act.moment, act.actor.person_id
    act.session.flush()


def reopen_stage(act: Act, stage_id: int) -> Stage:
    """Reopen a finished stage; a car that was marked ready no longer is."""
    stage = get_bare_stages(act.session, [stage_id])[0]
    job = get_job_by_id(act.session, stage.job_id)
    refuse_over(job)
    stage.finished_at = stage.finished_by_id = None
    job.ready_at = job.told_ready_at = None
    words = f"Reopened {stage.name}"
    log_job(act, "reopen_stage", job, words, subject="stage", subject_id=stage.id)
    return stage


def refuse_over(job: Job) -> None:
    """RuleBroken for a job that was cancelled or whose car has left."""
    if job.called_off_at is not None:
        raise RuleBroken("This job was {cancelled}. Reopen it first.")
    if job.handed_over_at is not None:
        raise RuleBroken("This car was handed over. Open a new job for more work.")

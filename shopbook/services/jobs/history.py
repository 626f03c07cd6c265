"""What every change of a job leaves behind: its line in the log, and a frozen version of the whole plan."""

from collections.abc import Mapping, Sequence
from typing import Any

from shopbook.models.jobs import Damage, Job, PlanVersion, Stage
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.plans import last_version, list_stages
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.floor.coat_waits import CoatWait

FORM = 2
"""The form of a kept plan. One without a number is of form 1: its waits stood with the stage, as `not_before_minutes`
and `not_after_minutes`; from form 2 on with the coats, as `waits` (panel, coat, opens, not before, not after, adds,
whether within the stage). Readers take what both have."""


def log_job(
    act: Act,
    deed: str,
    job: Job,
    words: str,
    *,
    subject: str = "job",
    subject_id: int | None = None,
) -> None:
    """One line of the log about a job. A sample's lines name no job, so that it can be removed."""
    job_id = None if job.is_sample else job.id
    write_log(act, deed, subject, subject_id or job.id, words, job_id=job_id)


def keep_version(act: Act, job: Job, why: str) -> int:
    """Freeze the plan as it stands now; answers the version's number. A sample keeps none and answers zero."""
    # What is frozen is read back from the book, so every change of the plan is written before.
    act.session.flush()
    if job.is_sample:
        return 0
    version = last_version(act.session, job.id) + 1
    body = plan_body(
        list_stages(act.session, job.id, with_struck=True), list_damages(act.session, job.id), job.conditions
    )
    act.session.add(
        PlanVersion(
            job_id=job.id,
            version=version,
            why=why[:200],
            body=body,
            at=act.moment,
            person_id=act.actor.person_id,
        )
    )
    act.session.flush()
    return version


def plan_body(stages: Sequence[Stage], damages: Sequence[Damage], conditions: Mapping[str, Any]) -> dict[str, Any]:
    """The whole plan as plain values: stages with panels, uses and waits; damages; what it was drafted for."""
    return {
        "form": FORM,
        "conditions": dict(conditions),
        "damages": [_damage_body(damage) for damage in damages],
        "stages": [_stage_body(stage) for stage in stages],
    }


def _stage_body(stage: Stage) -> dict[str, Any]:
    return {
        "id": stage.id,
        "position": stage.position,
        "code": stage.code,
        "name": stage.name,
        "skill": stage.skill,
        "purpose": stage.purpose,
        "group": stage.quote_group_key,
        "standard_minutes": stage.standard_minutes,
        "minutes": stage.planned_minutes,
        "is_touched": stage.is_touched,
        "flash_minutes": stage.flash_minutes,
        "waits": [_wait_body(wait) for wait in stage.coat_waits],
        "after": [each.after_id for each in stage.after],
        "panels": {each.panel: [each.minutes, each.coats] for each in stage.panels},
        "uses": [[use.role, use.amount_thousandths, use.unit, use.mix, use.is_touched] for use in stage.uses],
        "is_agreed": stage.agreed_at is not None,
        "is_done": stage.finished_at is not None,
        "is_struck": stage.struck_at is not None,
    }


def _wait_body(wait: CoatWait) -> list[Any]:
    limits = [wait.not_before_minutes, wait.not_after_minutes, wait.adds, wait.is_inside]
    return [wait.panel, wait.coat, wait.opens.value, *limits]


def _damage_body(damage: Damage) -> dict[str, Any]:
    return {
        "number": damage.number,
        "panel": damage.panel,
        "kind": damage.kind,
        "size": damage.size,
        "depth": damage.depth,
        "count": damage.dent_count or damage.chip_count,
        "paint": damage.paint,
        "is_left": damage.left_at is not None,
    }

"""The plan is drafted and changed: hours, stages added, removed and restored; each leaves a version."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.parts import get_part
from shopbook.queries.jobs.plans import get_stage, last_version
from shopbook.services.act import Act
from shopbook.services.jobs.drying import set_wait
from shopbook.services.jobs.history import keep_known, keep_version, log_job
from shopbook.services.jobs.inserting import insert_stage, refuse_over
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.purposes import StagePurpose

MOST_MINUTES = 10_000


def change_stage(
    act: Act,
    stage_id: int,
    *,
    planned_minutes: int | None = None,
    name: str | None = None,
    skill: str | None = None,
    not_before_minutes: int | None = None,
    part_id: int | None = None,
    waits_for_no_part: bool = False,
    why: str = "",
    version: int | None = None,
) -> Stage:
    """Change a stage's hours (man-minutes), name, skill, wait, or the part that it waits for.

    RuleBroken for a finished stage, or for an approved one without a reason: the approval keeps pointing at the
    version that it was given for. Conflict when `version` is given and the plan has changed since.
    """
    stage = get_stage(act.session, stage_id)
    job = job_to_change(act.session, stage, version)
    keep_known(act, job)
    was = _figures(stage)
    if planned_minutes is not None:
        _set_minutes(stage, planned_minutes)
    if not_before_minutes is not None:
        set_wait(act.session, stage, _in_range(not_before_minutes, "not_before_minutes"))
    stage.name = stage.name if name is None else _name(name)
    stage.skill = stage.skill if skill is None else Skill(skill)
    why = why.strip()
    if _figures(stage) != was:
        _want_reason(stage, why)
    had_part = stage.waits_for_part_id
    if part_id is not None or waits_for_no_part:
        _wait_for_part(act.session, stage, part_id)
    if (_figures(stage), stage.waits_for_part_id) == (was, had_part):
        return stage
    keep_change(act, job, stage, "change_stage", ": ".join(filter(None, (f"Changed {stage.name}", why))))
    return stage


def _want_reason(stage: Stage, why: str) -> None:
    if stage.agreed_at is not None and not why:
        raise RuleBroken("This stage is already approved. Enter the reason for the change.", "why")


def _figures(stage: Stage) -> tuple[str, str, int, int]:
    return stage.name, stage.skill, stage.planned_minutes, stage.not_before_minutes


def _wait_for_part(session: Session, stage: Stage, part_id: int | None) -> None:
    if part_id is not None and get_part(session, part_id).job_id != stage.job_id:
        raise RuleBroken("That part belongs to another job. Choose one of this job.", "part_id")
    stage.waits_for_part_id = part_id


def _set_minutes(stage: Stage, minutes: int) -> None:
    if minutes == stage.planned_minutes:
        return
    stage.planned_minutes = _in_range(minutes, "planned_minutes")
    stage.is_touched = True
    for panel, share in zip(stage.panels, share_out(minutes, [each.minutes for each in stage.panels]), strict=True):
        panel.minutes = share


def add_stage(
    act: Act,
    job_id: int,
    *,
    name: str,
    skill: str,
    minutes: int,
    code: str = "by_hand",
    after_stage_id: int | None = None,
    purpose: str | None = None,
    why: str = "",
    panels: Sequence[str] = (),
    group_key: str = "car",
) -> Stage:
    """Add a stage after another (at the end without one); what waited for that one now waits for the new one.

    Without a `purpose` it is extra work once the plan is approved.
    """
    job = get_job_by_id(act.session, job_id)
    stage = insert_stage(
        act.session,
        job,
        name=_name(name),
        skill=Skill(skill),
        minutes=_in_range(minutes, "minutes"),
        code=code,
        after_stage_id=after_stage_id,
        purpose=purpose,
        why=why,
        panels=panels,
        group_key=group_key,
    )
    keep_change(act, job, stage, "add_stage", f"Added {stage.name}" + (f": {why}" if why.strip() else ""))
    return get_stage(act.session, stage.id)


def strike_stage(act: Act, stage_id: int, why: str = "") -> Stage:
    """Take a stage out of the plan; it stays in the book and can come back. RuleBroken once it was begun."""
    stage = get_stage(act.session, stage_id)
    job = job_to_change(act.session, stage)
    keep_known(act, job)
    if stage.begun_at is not None:
        raise RuleBroken("This stage has begun. Finish it with the work that was done.")
    if stage.struck_at is None:
        stage.struck_at, stage.struck_why = act.moment, (why.strip() or "removed by hand")[:200]
        keep_change(act, job, stage, "strike_stage", f"Removed {stage.name}")
    return stage


def restore_stage(act: Act, stage_id: int) -> Stage:
    """Restore a removed stage to its place, as it was."""
    stage = get_stage(act.session, stage_id)
    job = get_job_by_id(act.session, stage.job_id)
    refuse_over(job)
    if stage.struck_at is not None:
        stage.struck_at, stage.struck_why = None, ""
        stage.added_why = stage.added_why or "restored"
        if job.agreed_at is not None and stage.agreed_at is None and stage.purpose == StagePurpose.PLAN:
            stage.purpose = StagePurpose.EXTRA
        keep_change(act, job, stage, "restore_stage", f"Restored {stage.name}")
    return stage


def job_to_change(session: Session, stage: Stage, version: int | None = None) -> Job:
    """The job of a stage that is about to change. RuleBroken for a closed job or a finished stage; Conflict when
    `version` is given and the plan has changed since."""
    job = get_job_by_id(session, stage.job_id)
    refuse_over(job)
    if stage.finished_at is not None:
        raise RuleBroken("This stage is done. Change its hours on the day sheet.")
    if version is not None and version != last_version(session, job.id):
        raise Conflict("Someone else has changed the plan since. Look at it now, then make your change again.")
    return job


def keep_change(act: Act, job: Job, stage: Stage, deed: str, words: str) -> None:
    """A version of the plan and a line of the log for one change of a stage."""
    keep_version(act, job, words)
    log_job(act, deed, job, words[:400], subject="stage", subject_id=stage.id)


def _in_range(minutes: int, field: str) -> int:
    if not 0 <= minutes <= MOST_MINUTES:
        raise RuleBroken("Enter hours from 0 to 166.", field)
    return minutes


def _name(name: str) -> str:
    if not name.strip():
        raise RuleBroken("Enter a name for the stage.", "name")
    return name.strip()[:200]

"""A stage is put into a plan after another, and what waited for that one waits for the new one."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StagePanel
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.jobs.drafting import number_stages, write_edges
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.ordering import edges_behind, edges_in_front
from shopbook.trade.purposes import StagePurpose


def insert_stage(
    session: Session,
    job: Job,
    *,
    name: str,
    skill: str,
    minutes: int,
    code: str,
    after_stage_id: int | None,
    purpose: str | None,
    why: str,
    panels: Sequence[str],
    group_key: str = "car",
    rework_of_id: int | None = None,
    before_stage_id: int | None = None,
) -> Stage:
    """Put a stage after another (at the end without one); what waited for that one now waits for the new one.

    With `before_stage_id` it is put in front of that one instead, and takes over all that it waited for. A part of an
    act, which keeps the version and the line of the log. RuleBroken where the other is not in this plan.
    """
    refuse_over(job)
    there = list_stages(session, job.id, with_struck=True)
    before, follower = _find(there, after_stage_id), _find(there, before_stage_id)
    if after_stage_id is not None and before is None:
        raise RuleBroken("Choose a stage of this plan for it to come after.", "after_stage_id")
    usual = StagePurpose.PLAN if job.agreed_at is None else StagePurpose.EXTRA
    stage = Stage(
        job_id=job.id,
        code=code,
        name=name,
        skill=skill,
        purpose=StagePurpose(purpose) if purpose else usual,
        quote_group_key=panels[0] if panels else group_key,
        standard_minutes=minutes,
        planned_minutes=minutes,
        added_why=(why.strip() or "added by hand")[:200],
        rework_of_id=rework_of_id,
    )
    session.add(stage)
    session.flush()
    shares = share_out(minutes, [1] * len(panels))
    session.add_all(
        StagePanel(stage_id=stage.id, panel=panel, minutes=share) for panel, share in zip(panels, shares, strict=True)
    )
    if follower is None:
        _stand_behind(session, stage, before, there)
    else:
        _stand_in_front(session, stage, follower, there)
    session.flush()
    return stage


def _find(there: Sequence[Stage], stage_id: int | None) -> Stage | None:
    return next((stage for stage in there if stage.id == stage_id), None)


def _stand_behind(session: Session, stage: Stage, before: Stage | None, there: Sequence[Stage]) -> None:
    last = before or (there[-1] if there else None)
    place = list(there).index(last) + 1 if last else 0
    order = [*there[:place], stage, *there[place:]]
    number_stages(order)
    if last is None:
        return
    edges = _edges(there) if before is not None else {}
    begun = [other.id for other in there if other.begun_at is not None]
    write_edges(session, edges_behind(edges, stage.id, last.id, begun))


def _stand_in_front(session: Session, stage: Stage, follower: Stage, there: Sequence[Stage]) -> None:
    place = list(there).index(follower)
    number_stages([*there[:place], stage, *there[place:]])
    write_edges(session, edges_in_front(_edges(there), stage.id, follower.id))


def _edges(there: Sequence[Stage]) -> dict[int, set[int]]:
    return {other.id: {each.after_id for each in other.after} for other in there}


def refuse_over(job: Job) -> None:
    """RuleBroken for a job that was cancelled or whose car has left."""
    if job.called_off_at is not None or job.handed_over_at is not None:
        raise RuleBroken("This job is closed, so its plan can no longer change.")

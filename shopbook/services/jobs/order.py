"""The order of a plan: stages moved by hand, and the stage that a missed window puts in front of what comes next."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage, list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import number_stages, write_edges
from shopbook.services.jobs.history import keep_version, log_job
from shopbook.services.jobs.rework import add_rework
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.readiness import followers_of
from shopbook.trade.planning.shapes import Coat

MOVED = "moved by hand"
_LAYERS = {coat.value: place for place, coat in enumerate(Coat)}


def _swap(edges: dict[int, set[int]], first: Stage, second: Stage) -> None:
    """Let `first` stand before `second`; where it waited for that one, that one waits for it from now on."""
    _refuse_swap(first, second)
    if second.id in edges[first.id]:
        edges[first.id].discard(second.id)
        edges[first.id] |= edges[second.id] - {first.id}
        edges[second.id].add(first.id)


def move_stage(act: Act, stage_id: int, places: int) -> Stage:
    """Move a stage so many places later (or earlier, below zero) among those in the plan.

    A stage that it waited for and now stands behind waits for it instead. RuleBroken where work has begun, or where a
    coat would come under one that is laid on it.
    """
    stage = get_stage(act.session, stage_id)
    job = get_job_by_id(act.session, stage.job_id)
    shown = list_stages(act.session, job.id)
    if stage.begun_at is not None or stage.struck_at is not None:
        raise RuleBroken("Choose a stage that has not begun. Only those can be moved.")
    step = 1 if places > 0 else -1
    edges = _edges(shown)
    for _ in range(abs(places)):
        here = shown.index(stage)
        if not 0 <= here + step < len(shown):
            break
        other = shown[here + step]
        _swap(edges, *((other, stage) if step > 0 else (stage, other)))
        shown[here], shown[here + step] = other, stage
    stage.added_why = stage.added_why or MOVED
    write_edges(act.session, edges)
    struck = [each for each in list_stages(act.session, job.id, with_struck=True) if each.struck_at is not None]
    number_stages([*shown, *struck])
    keep_version(act, job, f"Moved {stage.name}")
    log_job(act, "move_stage", job, f"Moved {stage.name}", subject="stage", subject_id=stage.id)
    return stage


def _refuse_swap(first: Stage, second: Stage) -> None:
    """`first` would come before `second`, behind which it stood."""
    if second.begun_at is not None:
        raise RuleBroken(f"{second.name} has already begun, so nothing can move ahead of it.")
    below = {each.panel: _top(each.coats) for each in second.panels}
    for each in first.panels:
        if each.coats and below.get(each.panel, -1) >= 0 and _top(each.coats) > below[each.panel]:
            raise RuleBroken(f"{first.name} goes on top of {second.name}, so it cannot come first.")


def _top(coats: str) -> int:
    return max((_LAYERS.get(coat, -1) for coat in coats.split(",")), default=-1)


def _has_passed(stage: Stage, moment: datetime) -> bool:
    """Whether the window behind a finished stage asks for another one and has passed."""
    if stage.finished_at is None or stage.not_after_minutes is None or not stage.adds_stage:
        return False
    return (moment - stage.finished_at).total_seconds() > stage.not_after_minutes * 60


def _followers(session: Session, stage: Stage) -> list[Stage]:
    there = {other.id: other for other in list_stages(session, stage.job_id, with_struck=True)}
    struck = {other.id for other in there.values() if other.struck_at is not None}
    return [there[key] for key in followers_of(stage.id, _edges(there.values()), struck)]


def _edges(stages: Iterable[Stage]) -> dict[int, set[int]]:
    """Which stages each one comes after, by id."""
    return {stage.id: {each.after_id for each in stage.after} for stage in stages}


def add_passed_window_stage(act: Act, stage_id: int) -> Stage | None:
    """Put the stage in that a missed window asks for, behind the finished stage `stage_id`; None where none is due.

    Nothing is added twice, nor once what follows was begun.
    """
    stage = get_stage(act.session, stage_id)
    if not _has_passed(stage, act.moment):
        return None
    followers = _followers(act.session, stage)
    if not followers or any(other.begun_at or other.code == stage.adds_stage for other in followers):
        return None
    job = get_job_by_id(act.session, stage.job_id)
    added = add_rework(
        act,
        job,
        [stage.adds_stage],
        behind_id=stage.id,
        panels=[each.panel for each in stage.panels],
        why=f"too late after {stage.name}",
    )
    return added[0] if added else None

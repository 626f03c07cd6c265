"""The order of a plan: stages moved by hand, and the stage that a missed window puts in front of what comes next."""

from collections.abc import Iterable

from shopbook.models.jobs import Stage
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage, list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import number_stages, write_edges
from shopbook.services.jobs.history import keep_version, log_job
from shopbook.services.jobs.rework import add_rework
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.coat_waits import PassedWindow
from shopbook.trade.planning.ordering import swap_edges
from shopbook.trade.planning.shapes import Coat

MOVED = "moved by hand"
_LAYERS = {coat.value: place for place, coat in enumerate(Coat)}


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
        first, second = (other, stage) if step > 0 else (stage, other)
        _refuse_swap(first, second)
        swap_edges(edges, first.id, second.id)
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


def _edges(stages: Iterable[Stage]) -> dict[int, set[int]]:
    """Which stages each one comes after, by id."""
    return {stage.id: {each.after_id for each in stage.after} for stage in stages}


def add_passed_window_stage(act: Act, passed: PassedWindow) -> Stage | None:
    """Put the stage that a missed window asks for in front of the one whose coat may not go on any more.

    It stands on the panels of both, and takes over what that one waited for; the next coat starts when it is done.
    None where the shop has no such stage.
    """
    follower, laid = get_stage(act.session, passed.stage_id), get_stage(act.session, passed.layer_id)
    job = get_job_by_id(act.session, follower.job_id)
    shared = [panel for panel in laid.panel_names if panel in follower.panel_names]
    added = add_rework(
        act,
        job,
        [passed.adds],
        before_id=follower.id,
        panels=shared or list(laid.panel_names),
        why=f"too late after {laid.name}",
    )
    return added[0] if added else None

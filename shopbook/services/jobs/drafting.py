"""A new draft replaces the plan that is there, except what was changed by hand, approved or begun."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import delete
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageAfter
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.planning import Planning, planning_of
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.history import keep_version, log_job
from shopbook.services.jobs.writing import StageWriter, purpose_in
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.planning.groups import longer_by, only_on
from shopbook.trade.planning.shapes import DraftPlan, DraftStage
from shopbook.trade.purposes import StagePurpose

REDRAFTED = "not in the newer draft"
LEFT = "declined by the customer"
LEAST_GROWN_MINUTES = 6
"""An approved stage that a new draft makes at least a tenth of an hour longer gets the difference as extra work."""


def draft_plan(act: Act, job_id: int) -> int:
    """Draft the plan of a job from its damage, its car and the standards of the day; answers the plan's version.

    Stages that somebody changed, added, approved or began keep their figures; whatever a draft adds to an approved
    plan comes as extra work of its own. RuleBroken when no damage is kept yet, or one cannot be as described, and for a
    car that has gone.
    """
    job = get_job_by_id(act.session, job_id)
    refuse_over(job)
    planning = planning_of(act.session, job, act.moment)
    draft = planning.draft()
    if draft is None:
        raise RuleBroken("Add the damage first. The plan is drafted from it.", "damages")
    _lay_over(act.session, job, planning, draft, act.moment)
    version = keep_version(act, job, "drafted")
    log_job(act, "draft_plan", job, f"Drafted the plan, {to_tenths(draft.minutes)} by the standards")
    return version


def follow_damage(act: Act, job_id: int) -> int:
    """Redraft the plan after damage was added, changed or removed; without any, what was only drafted goes."""
    job = get_job_by_id(act.session, job_id)
    planning = planning_of(act.session, job, act.moment)
    _lay_over(act.session, job, planning, planning.draft() or DraftPlan((), (), ()), act.moment)
    version = keep_version(act, job, "damage changed")
    log_job(act, "follow_damage", job, "Redrafted the plan for the changed damage")
    return version


def _mark_left(act: Act, job: Job, taken: Collection[str], left: Collection[str]) -> bool:
    """Save on each damage whether its panel was declined; answers whether any changed."""
    is_changed = False
    for damage in list_damages(act.session, job.id):
        was_left = damage.left_at is not None
        if damage.panel in taken and was_left:
            damage.left_at, is_changed = None, True
        elif damage.panel in left and damage.panel not in taken and not was_left:
            damage.left_at, is_changed = act.moment, True
    return is_changed


def settle_panels(
    act: Act,
    job: Job,
    *,
    taken: Collection[str],
    left: Collection[str],
) -> None:
    """Take declined panels out of the plan and accepted ones back in; a new draft follows where needed."""
    if not _mark_left(act, job, taken, left):
        return
    for stage in list_stages(act.session, job.id):
        if stage.quote_group_key in left and stage.agreed_at is None and stage.begun_at is None:
            stage.struck_at, stage.struck_why = act.moment, LEFT
    planning = planning_of(act.session, job, act.moment)
    draft = planning.draft()
    if draft is not None:
        _lay_over(act.session, job, planning, draft, act.moment)
    keep_version(act, job, "panels accepted and declined")
    log_job(act, "settle_panels", job, "Redrafted the plan for the accepted panels")


@dataclass(slots=True)
class _Laid:
    """What has been laid down so far: the rows that stand for each stage of the draft, and the rows still free."""

    free: list[Stage]
    kept: list[Stage]
    rows: list[list[Stage]] = field(default_factory=list)


def is_kept(stage: Stage) -> bool:
    """Whether a new draft leaves a stage as it is."""
    if stage.struck_at is not None:
        return stage.struck_why not in {REDRAFTED, LEFT}
    return bool(
        stage.is_touched
        or stage.added_why
        or stage.agreed_at
        or stage.begun_at
        or stage.purpose in {StagePurpose.REWORK, StagePurpose.STRIP_AND_LOOK}
        or any(use.is_touched for use in stage.uses)
    )


def _lay_over(session: Session, job: Job, planning: Planning, draft: DraftPlan, now: datetime) -> None:
    there = list_stages(session, job.id, with_struck=True)
    laid = _Laid(free=[row for row in there if not is_kept(row)], kept=[row for row in there if is_kept(row)])
    writer = StageWriter(session, job, planning, purpose_in(job))
    for stage in draft.stages:
        laid.rows.append(_lay_stage(writer, laid, stage))
    for row in laid.free:
        if row.struck_at is None:
            row.struck_at, row.struck_why = now, REDRAFTED
    writer.finish()
    edges = _join(session, draft, laid, there)
    _number(session, laid, there, edges)


def _panels_of(rows: Sequence[Stage]) -> set[str]:
    return {each.panel for row in rows for each in row.panels}


def _is_fixed(row: Stage) -> bool:
    """No draft rewrites it: it is approved or begun."""
    return row.struck_at is None and (row.agreed_at is not None or row.begun_at is not None)


def _lay_stage(writer: StageWriter, laid: _Laid, stage: DraftStage) -> list[Stage]:
    """The rows that stand for one drafted stage: those kept, and a written one for what they do not cover."""
    kept = [row for row in laid.kept if row.code == stage.code]
    if not kept:
        return [writer.write(stage, _take(laid, stage))]
    covered = _panels_of(kept)
    missing = set(stage.panels) - covered
    if missing and covered:
        return [*kept, writer.write(only_on(stage, missing), _take(laid, stage))]
    grown = stage.minutes - sum(row.standard_minutes for row in kept)
    if grown >= LEAST_GROWN_MINUTES and all(map(_is_fixed, kept)):
        return [*kept, writer.write(longer_by(stage, grown), _take(laid, stage))]
    return kept


def _take(laid: _Laid, stage: DraftStage) -> Stage | None:
    """A free row of the same kind, the one on the same panels before others; a row is one for life."""
    same = [row for row in laid.free if row.code == stage.code]
    if not same:
        return None
    same.sort(key=lambda row: ({each.panel for each in row.panels} != set(stage.panels), row.struck_at is not None))
    laid.free.remove(same[0])
    return same[0]


def _kept_edges(laid: _Laid, there: Sequence[Stage]) -> dict[int, set[int]]:
    """Whom each stage comes after, by id: rows that are kept stay behind those they stood behind."""
    kept_ids = {row.id for row in laid.kept}
    return {row.id: {each.after_id for each in row.after} if row.id in kept_ids else set() for row in there}


def _join(session: Session, draft: DraftPlan, laid: _Laid, there: Sequence[Stage]) -> dict[int, set[int]]:
    """Let every row come after the rows of the draft's predecessors; answers who comes after whom, by id."""
    edges = _kept_edges(laid, there)
    for stage, rows in zip(draft.stages, laid.rows, strict=True):
        wanted = {before.id for place in stage.after for before in laid.rows[place]}
        for row in rows:
            own = edges.setdefault(row.id, set())
            if row.begun_at is None:
                own |= {key for key in wanted if key != row.id and not _leads_to(edges, key, row.id)}
    write_edges(session, edges)
    return edges


def _leads_to(edges: dict[int, set[int]], start: int, goal: int) -> bool:
    """Whether `start` already comes after `goal`, however many stages lie between."""
    asked, seen = [start], set[int]()
    while asked:
        key = asked.pop()
        if key == goal:
            return True
        if key not in seen:
            seen.add(key)
            asked.extend(edges.get(key, ()))
    return False


def write_edges(session: Session, edges: dict[int, set[int]]) -> None:
    """Keep who comes after whom for these stages, in place of what was kept before."""
    session.execute(delete(StageAfter).where(StageAfter.stage_id.in_(list(edges))))
    session.add_all(StageAfter(stage_id=key, after_id=each) for key, befores in edges.items() for each in befores)
    session.flush()


def _number(session: Session, laid: _Laid, there: Sequence[Stage], edges: dict[int, set[int]]) -> None:
    """Give places 1, 2, 3 …: in the draft's order, other rows behind whom they stood, nobody before its own."""
    order: list[Stage] = []
    for rows in laid.rows:
        order.extend(row for row in rows if row not in order)
    for place, row in enumerate(there):
        if row not in order:
            before = next((each for each in reversed(there[:place]) if each in order), None)
            order.insert(order.index(before) + 1 if before else 0, row)
    number_stages(in_order(order, edges))
    session.flush()


def in_order(stages: Sequence[Stage], edges: dict[int, set[int]]) -> list[Stage]:
    """The stages as near to the given order as who comes after whom allows."""
    left, placed, found = list(stages), set[int](), list[Stage]()
    known = {stage.id for stage in stages}
    while left:
        chosen = next((each for each in left if (edges.get(each.id, set()) & known) <= placed), left[0])
        left.remove(chosen)
        placed.add(chosen.id)
        found.append(chosen)
    return found


def number_stages(stages: Sequence[Stage]) -> None:
    """Places 1, 2, 3 … in this order."""
    for place, stage in enumerate(stages, 1):
        stage.position = place


def keep_conditions(act: Act, job_id: int, **given: Any) -> int:
    """Keep what the plan is drafted for (temperature_tenths, humidity, has_lamp, has_booth, base_coats, clear_coats,

    surfacer_coats, is_blended, is_surfacer_for_build, is_silicone_suspected, left_out) and draft it anew; None takes a
    choice back to the shop's habit.
    """
    job = get_job_by_id(act.session, job_id)
    kept = dict(job.conditions)
    for name, value in given.items():
        if value is None:
            kept.pop(name, None)
        else:
            kept[name] = value
    job.conditions = kept
    return draft_plan(act, job_id)

"""The plan of a job: its stages with panels, uses and what they come after, its versions, and its hours."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ScalarResult, Select, func, select
from sqlalchemy.orm import Session, joinedload, selectinload

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Job, JobPart, PlanVersion, Stage
from shopbook.queries.jobs.parts import parts_by_id
from shopbook.trade.errors import NotFound
from shopbook.trade.floor.coat_waits import Layer
from shopbook.trade.floor.readiness import AwaitedPart, Readiness, StageRow, stages_ready
from shopbook.trade.next_act import LAST_STAGES, OpenStage, PlanFacts


def list_stages(session: Session, job_id: int, with_struck: bool = False) -> list[Stage]:
    """The stages of a job in order, with panels, uses and predecessors loaded."""
    return stages_of(session, [job_id], with_struck=with_struck).get(job_id, [])


def list_bare_stages(session: Session, job_id: int) -> list[Stage]:
    """The stages of a job in order, with nothing of what hangs on them; one statement."""
    asked = select(Stage).where(Stage.job_id == job_id, Stage.struck_at.is_(None))
    return list(session.scalars(asked.order_by(Stage.position, Stage.id)))


def stages_of(
    session: Session, job_ids: Iterable[int], *, with_struck: bool = False, with_uses: bool = True
) -> dict[int, list[Stage]]:
    """The stages of several jobs in order, loaded the same way, by job id; two statements however many, one
    where nothing is asked of what they use: by far the most of it, so a page that shows none of it goes without.
    """
    asked = select(Stage).where(Stage.job_id.in_(list(job_ids))).order_by(Stage.job_id, Stage.position, Stage.id)
    if not with_struck:
        asked = asked.where(Stage.struck_at.is_(None))
    found: dict[int, list[Stage]] = {}
    for stage in _loaded(session, asked, with_uses=with_uses):
        found.setdefault(stage.job_id, []).append(stage)
    return found


def _loaded(session: Session, asked: Select[Stage], *, with_uses: bool = True) -> ScalarResult[Stage]:
    session.flush()
    # Few stages lay a coat, most follow one other and stand on one panel: these come with the stages themselves.
    asked = asked.options(joinedload(Stage.waits), joinedload(Stage.panels), joinedload(Stage.after))
    if with_uses:
        asked = asked.options(selectinload(Stage.uses))
    return session.scalars(asked.execution_options(populate_existing=True)).unique()


def get_stage(session: Session, stage_id: int) -> Stage:
    """One stage with panels, uses and predecessors loaded; NotFound when there is none."""
    return get_stages(session, [stage_id])[0]


def get_stages(session: Session, stage_ids: Iterable[int]) -> list[Stage]:
    """Stages loaded the same way in the order asked for, each once; NotFound when one is missing; two statements."""
    wanted = list(dict.fromkeys(stage_ids))
    return _in_order(wanted, _loaded(session, select(Stage).where(Stage.id.in_(wanted))))


def get_bare_stages(session: Session, stage_ids: Iterable[int]) -> list[Stage]:
    """The same, with nothing of what hangs on them; one statement."""
    wanted = list(dict.fromkeys(stage_ids))
    return _in_order(wanted, session.scalars(select(Stage).where(Stage.id.in_(wanted))) if wanted else ())


def _in_order(wanted: Sequence[int], stages: Iterable[Stage]) -> list[Stage]:
    found = {stage.id: stage for stage in stages}
    if len(found) != len(wanted):
        raise NotFound("This stage is not in the book. Go back and look at the plan again.")
    return [found[key] for key in wanted]


def find_version(session: Session, job_id: int, version: int | None = None) -> PlanVersion | None:
    """One version of a job's plan, the newest unless told otherwise."""
    asked = select(PlanVersion).where(PlanVersion.job_id == job_id).order_by(PlanVersion.version.desc()).limit(1)
    return session.scalar(asked if version is None else asked.where(PlanVersion.version == version))


def last_version(session: Session, job_id: int) -> int:
    """The number of the newest version of a job's plan; zero before the first."""
    return session.scalar(select(func.max(PlanVersion.version)).where(PlanVersion.job_id == job_id)) or 0


def list_versions(session: Session, job_id: int) -> list[PlanVersion]:
    """All versions of a job's plan, newest first."""
    return list(
        session.scalars(select(PlanVersion).where(PlanVersion.job_id == job_id).order_by(PlanVersion.version.desc()))
    )


@dataclass(frozen=True, slots=True)
class JobHours:
    """Man-minutes of a job: planned of all stages, planned of the finished ones, clocked, planned still to come."""

    planned_minutes: int = 0
    planned_done_minutes: int = 0
    used_minutes: int = 0
    to_come_minutes: int = 0


def sum_hours(stages: Sequence[Any], used: Mapping[int, int]) -> JobHours:
    """The same of one job, of stages that are read already (without the removed ones) and clocked minutes by stage."""
    done = [stage for stage in stages if stage.finished_at is not None]
    to_come = [stage for stage in stages if stage.finished_at is None]
    return JobHours(
        planned_minutes=sum(stage.planned_minutes for stage in stages),
        planned_done_minutes=sum(stage.planned_minutes for stage in done),
        used_minutes=sum(used.values()),
        to_come_minutes=sum(max(0, stage.planned_minutes - used.get(stage.id, 0)) for stage in to_come),
    )


def _used_by_stage(session: Session, job_ids: Iterable[int]) -> dict[tuple[int, int], int]:
    sums = session.execute(
        select(ClockShare.job_id, ClockShare.stage_id, func.sum(ClockShare.minutes))
        .where(ClockShare.job_id.in_(list(job_ids)))
        .group_by(ClockShare.job_id, ClockShare.stage_id)
    )
    return {(job_id, stage_id): int(minutes) for job_id, stage_id, minutes in sums}


def used_minutes_by_stage(session: Session, job_id: int) -> dict[int, int]:
    """Clocked man-minutes of each stage of a job, by stage id."""
    return {stage_id: minutes for (_, stage_id), minutes in _used_by_stage(session, [job_id]).items()}


def readiness_of(session: Session, jobs: Iterable[Job], now: datetime) -> dict[int, Readiness]:
    """What every stage of these jobs waits for, by stage id."""
    by_id = {job.id: job for job in jobs}
    return readiness_among(session, by_id, stages_of(session, by_id, with_struck=True), now)


def readiness_among(
    session: Session, jobs: Mapping[int, Job], stages: Mapping[int, Sequence[Stage]], now: datetime
) -> dict[int, Readiness]:
    """The same for stages that are loaded already, the removed ones among them; jobs and stages by job id."""
    wanted = [stage.waits_for_part_id for each in stages.values() for stage in each if stage.waits_for_part_id]
    parts = parts_by_id(session, wanted)
    found: dict[int, Readiness] = {}
    for job_id, each in stages.items():
        found |= readiness_with(jobs[job_id], each, parts, now)
    return found


def readiness_with(
    job: Job, stages: Sequence[Stage], parts: Mapping[int, JobPart], now: datetime
) -> dict[int, Readiness]:
    """The same of one job whose parts are read already, by id; no statement."""
    rows = [stage_row(stage, awaited_part(parts.get(stage.waits_for_part_id or 0))) for stage in stages]
    return stages_ready(rows, now, is_here=job.came_at is not None)


def awaited_part(part: JobPart | None) -> AwaitedPart | None:
    """What a stage waits for; a part that was removed holds nothing up, as one that came."""
    is_here = part is not None and (part.came_at is not None or part.struck_at is not None)
    return AwaitedPart(part.name, part.due_on, is_here) if part is not None else None


def plan_facts(
    stages: Sequence[Stage], readiness: Mapping[int, Readiness], hours: JobHours, *, has_damage: bool
) -> PlanFacts:
    """What of one job's plan bears on its next act; `stages` without the removed ones, in order."""
    return PlanFacts(
        has_damage=has_damage,
        has_plan=bool(stages),
        open_stages=tuple(
            OpenStage(stage.name, readiness[stage.id], stage.agreed_at is not None or stage.begun_at is not None)
            for stage in stages
            if stage.finished_at is None and stage.code not in LAST_STAGES
        ),
        is_over_hours=hours.used_minutes > hours.planned_minutes,
    )


def without_struck(stages: Mapping[int, Sequence[Stage]]) -> dict[int, list[Stage]]:
    """Only the stages that are still part of their plans, by job id."""
    return {job_id: [stage for stage in rows if stage.struck_at is None] for job_id, rows in stages.items()}


def layer_of(stage: Stage) -> Layer:
    """What of a stage (panels and waits loaded) bears on coats."""
    return Layer(
        stage.id, stage.code, stage.panel_names, stage.coat_waits, stage.struck_at is not None, stage.finished_at
    )


def stage_row(stage: Stage, part: AwaitedPart | None = None) -> StageRow:
    """What of a stage bears on its readiness."""
    return StageRow(
        id=stage.id,
        name=stage.name,
        after=tuple(each.after_id for each in stage.after),
        purpose=stage.purpose,
        is_agreed=stage.agreed_at is not None,
        begun_at=stage.begun_at,
        finished_at=stage.finished_at,
        is_struck=stage.struck_at is not None,
        code=stage.code,
        panels=stage.panel_names,
        waits=stage.coat_waits,
        part=part,
    )

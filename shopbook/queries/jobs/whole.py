"""One job whole: the plan, the damage, what is bought and what was clocked, each read once and handed down."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Damage, Job, JobPart, Stage
from shopbook.models.shelf import Material
from shopbook.queries.jobs.comebacks import Comeback, comebacks_of
from shopbook.queries.jobs.damage import damages_of, list_damages
from shopbook.queries.jobs.plans import list_stages, stages_of
from shopbook.queries.shelf.materials import list_planned_materials


@dataclass(frozen=True, slots=True)
class Clocked:
    """What one person was clocked on one stage of a job on one day: man-minutes, and what they cost in minor units."""

    job_id: int
    stage_id: int
    person_id: int
    on: date
    minutes: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class WholeJob:
    """One job as its page is loaded with it. The edge makes it once; whatever asks of this job takes it.

    `stages` (panels, uses and predecessors loaded) and `parts` hold what was removed too; `damages` do not.
    """

    job: Job
    stages: tuple[Stage, ...]
    damages: tuple[Damage, ...]
    parts: tuple[JobPart, ...]
    clocked: tuple[Clocked, ...]
    materials: tuple[Material, ...]
    """What the shelf has for the plan: the materials that its stages use, and those in use that stand for a role."""
    comebacks: tuple[Comeback, ...] = ()
    """What it came back as since it was handed over, by number."""
    back_clocked: tuple[Clocked, ...] = ()
    """What was clocked on those comebacks."""
    back_parts: tuple[JobPart, ...] = ()
    """What was bought for them, with what was removed too."""

    @property
    def plan(self) -> list[Stage]:
        """The stages that are still part of the plan, in order."""
        return [stage for stage in self.stages if stage.struck_at is None]

    @property
    def standing_parts(self) -> list[JobPart]:
        """What is bought and was not removed."""
        return [part for part in self.parts if part.struck_at is None]

    @property
    def parts_by_id(self) -> Mapping[int, JobPart]:
        """All that is or was to be bought, by id."""
        return {part.id: part for part in self.parts}

    @property
    def used_minutes(self) -> Mapping[int, int]:
        """Clocked man-minutes by stage id; a stage on which nobody was clocked is left out."""
        found: dict[int, int] = {}
        for each in self.clocked:
            found[each.stage_id] = found.get(each.stage_id, 0) + each.minutes
        return found


def whole_job(session: Session, job: Job) -> WholeJob:
    """A job that is already read (car and customer loaded), with all that hangs on it; seven statements."""
    stages = list_stages(session, job.id, with_struck=True)
    comebacks = comebacks_of(session, [job.id]) if job.handed_over_at else []
    ids = [job.id, *(each.job_id for each in comebacks)]
    clocked, back_clocked = _own_first(list_clocked(session, ids), job.id)
    parts, back_parts = _own_first(_parts(session, ids), job.id)
    return WholeJob(
        job=job,
        stages=tuple(stages),
        damages=tuple(list_damages(session, job.id)),
        parts=parts,
        clocked=clocked,
        materials=tuple(materials_of_plan(session, stages)),
        comebacks=tuple(comebacks),
        back_clocked=back_clocked,
        back_parts=back_parts,
    )


def whole_jobs(
    session: Session, jobs: Sequence[Job], *, with_damages: bool = True, with_uses: bool = False
) -> dict[int, WholeJob]:
    """The same of several jobs for a list, by job id, without the materials of the shelf; four statements however
    many, one less for whoever asks of no damage, one more with what the stages use."""
    ids = [job.id for job in jobs]
    stages = stages_of(session, ids, with_struck=True, with_uses=with_uses)
    damages = damages_of(session, ids) if with_damages else {}
    parts: dict[int, list[JobPart]] = {}
    for part in _parts(session, ids):
        parts.setdefault(part.job_id, []).append(part)
    clocked: dict[int, list[Clocked]] = {}
    for row in list_clocked(session, ids):
        clocked.setdefault(row.job_id, []).append(row)
    return {
        job.id: WholeJob(
            job,
            tuple(stages.get(job.id, ())),
            tuple(damages.get(job.id, ())),
            tuple(parts.get(job.id, ())),
            tuple(clocked.get(job.id, ())),
            materials=(),
        )
        for job in jobs
    }


Row = TypeVar("Row", Clocked, JobPart)


def _own_first(rows: Iterable[Row], job_id: int) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """The rows of a job, then those of its comebacks."""
    every = list(rows)
    return tuple(row for row in every if row.job_id == job_id), tuple(row for row in every if row.job_id != job_id)


def _parts(session: Session, job_ids: Collection[int]) -> list[JobPart]:
    asked = select(JobPart).where(JobPart.job_id.in_(job_ids)).order_by(JobPart.id)
    return list(session.scalars(asked)) if job_ids else []


def materials_of_plan(session: Session, stages: Iterable[Stage]) -> list[Material]:
    """What the shelf has for these stages (uses loaded), by id; one statement."""
    used = {use.material_id for stage in stages for use in stage.uses if use.material_id}
    return list_planned_materials(session, used)


def list_clocked(session: Session, job_ids: Collection[int]) -> list[Clocked]:
    """What was clocked on these jobs, reversals taken off, by stage, person and day; one statement."""
    keys = (ClockShare.job_id, ClockShare.stage_id, ClockEntry.person_id, ClockEntry.on)
    asked = (
        select(*keys, func.sum(ClockShare.minutes), func.sum(ClockShare.cost_minor))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .where(ClockShare.job_id.in_(job_ids))
        .group_by(*keys)
    )
    return [Clocked(*row[:4], int(row[4]), int(row[5])) for row in session.execute(asked)]

"""Rework at the shop's cost, by job and cause, and cars that came back."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.queries.money.costs import CostLine
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.purposes import JobPurpose


@dataclass(frozen=True, slots=True)
class PutRight:
    """What one cause cost on one job. `first_number` is the job that the car came back from."""

    job_number: int
    why: str
    first_number: int | None
    cost_minor: int


def list_put_right(session: Session, costs: Iterable[CostLine]) -> list[PutRight]:
    """Which of these costs were rework, the highest first; two statements.

    Of a comeback it is all of them: labour and materials, what was bought for it, its share of shop supplies; of
    another job, labour and materials of its stages of rework. It adds up to what the month counts as put right.
    """
    lines = [line for line in costs if line.is_put_right]
    jobs = _jobs(session, {line.job_id for line in lines})
    whys = _added_whys(session, {line.stage_id for line in lines if line.stage_id})
    sums: dict[tuple[int, str, int | None], int] = defaultdict(int)
    for line in lines:
        number, purpose, wrong, first_number = jobs[line.job_id]
        why = _why_of(line.stage_id, wrong, {} if purpose == JobPurpose.COMEBACK else whys)
        sums[number, why, first_number] += line.costs.total_minor
    found = [PutRight(number, why, back, cost) for (number, why, back), cost in sums.items() if cost]
    return sorted(found, key=lambda row: (-row.cost_minor, row.job_number, row.why))


def _why_of(stage_id: int | None, wrong: str, whys: Mapping[int, str]) -> str:
    """Why a stage was added; of anything else what was wrong with the car."""
    return whys.get(stage_id or 0, wrong)


def _jobs(session: Session, job_ids: Collection[int]) -> dict[int, tuple[int, str, str, int | None]]:
    """Number, purpose, what is wrong, and the number of the job it came back from, by id."""
    first = aliased(Job)
    rows = session.execute(
        select(Job.id, Job.number, Job.purpose, Job.wrong, first.number)
        .outerjoin(first, first.id == Job.comeback_of_id)
        .where(Job.id.in_(job_ids))
    )
    return {job_id: (number, purpose, wrong, back) for job_id, number, purpose, wrong, back in rows}


def _added_whys(session: Session, stage_ids: Collection[int]) -> dict[int, str]:
    rows = session.execute(select(Stage.id, Stage.added_why).where(Stage.id.in_(stage_ids)))
    return {stage_id: why for stage_id, why in rows}


def materials_per_paint_hour(session: Session, first: date, last: date, materials_minor: int) -> int | None:
    """What jobs took from the shelf for each hour clocked on paint; None where nobody painted. One statement."""
    minutes = session.scalar(
        select(func.sum(ClockShare.minutes))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .where(ClockEntry.on.between(first, last), Stage.skill == "paint")
    )
    return divide_half_away(materials_minor * 60, int(minutes)) if minutes else None

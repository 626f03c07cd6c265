"""What was done once more, free of charge: rework by job and cause, and cars that came back."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Movement
from shopbook.queries.reports.month_jobs import is_rework
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.trade.amounts import divide_half_away
from shopbook.trade.purposes import JobPurpose


@dataclass(frozen=True, slots=True)
class PutRight:
    """What one cause cost on one job: labour and materials. `first_number` is the job that a car came back from."""

    job_number: int
    why: str
    first_number: int | None
    cost_minor: int


def list_put_right(session: Session, first: date, last: date) -> list[PutRight]:
    """What was put right from `first` to `last`, the dearest first; two statements.

    It adds up to what the month counts as put right.
    """
    sums: dict[tuple[int, str, int | None], int] = defaultdict(int)
    for asked, day in ((_labour(), ClockEntry.on), (_materials(), Movement.on)):
        for number, purpose, wrong, first_number, added_why, cost in session.execute(
            asked.where(day.between(first, last))
        ):
            why = wrong if purpose == JobPurpose.COMEBACK else added_why
            sums[number, why, first_number] += int(cost)
    found = [PutRight(number, why, back, cost) for (number, why, back), cost in sums.items() if cost]
    return sorted(found, key=lambda row: (-row.cost_minor, row.job_number, row.why))


def materials_per_paint_hour(session: Session, first: date, last: date, materials_minor: int) -> int | None:
    """What jobs took from the shelf for each hour clocked on paint; None where nobody painted. One statement."""
    minutes = session.scalar(
        select(func.sum(ClockShare.minutes))
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .where(ClockEntry.on.between(first, last), Stage.skill == "paint")
    )
    return divide_half_away(materials_minor * 60, int(minutes)) if minutes else None


def _labour() -> Select[Any]:
    return (
        _by_cause(func.sum(ClockShare.cost_minor))
        .select_from(ClockShare)
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .join(Job, Job.id == ClockShare.job_id)
    )


def _by_cause(cost: Any) -> Select[Any]:
    back = aliased(Job)
    number = select(back.number).where(back.id == Job.comeback_of_id).correlate(Job).scalar_subquery()
    return (
        select(Job.number, Job.purpose, Job.wrong, number, Stage.added_why, cost)
        .where(is_rework())
        .group_by(Job.id, Job.number, Job.purpose, Job.wrong, Job.comeback_of_id, Stage.added_why)
    )


def _materials() -> Select[Any]:
    return (
        _by_cause(-func.sum(Movement.value_minor))
        .select_from(Movement)
        .join(Job, Job.id == Movement.job_id)
        .outerjoin(Stage, Stage.id == Movement.stage_id)
        .where(Movement.kind.in_(STAGE_KINDS))
    )

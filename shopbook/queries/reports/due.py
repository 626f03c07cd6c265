"""What is overdue: parts, and clocks that run past lunch or closing."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ScalarSelect, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.shelf import Supplier
from shopbook.queries.floor.at_work import FloorNow
from shopbook.trade.floor.hours import next_stop


@dataclass(frozen=True, slots=True)
class DuePart:
    """A part that should be here by today, whom to call for it, and the stage that waits for it (or "")."""

    part: JobPart
    number: int
    supplier: Supplier | None
    stage: str


@dataclass(frozen=True, slots=True)
class LateClock:
    """A clock that should have stopped by itself."""

    person_id: int
    name: str
    since_at: datetime
    on: date


def list_due_parts(session: Session, today: date) -> list[DuePart]:
    """Ordered parts of open jobs that are due by today or have no day, the latest first; one statement."""
    session.flush()
    rows = session.execute(
        select(JobPart, Job.number, Supplier, _first_waiting())
        .join(Job, Job.id == JobPart.job_id)
        .outerjoin(Supplier, Supplier.id == JobPart.supplier_id)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.handed_over_at.is_(None),
            JobPart.ordered_at.is_not(None),
            JobPart.came_at.is_(None),
            JobPart.struck_at.is_(None),
            JobPart.due_on <= today,
        )
        .order_by(JobPart.due_on, Job.number, JobPart.id)
    ).all()
    return [DuePart(part, number, supplier, stage or "") for part, number, supplier, stage in rows]


def _first_waiting() -> ScalarSelect[str]:
    """The name of the first open stage that waits for the part."""
    asked = select(Stage.name).where(
        Stage.job_id == JobPart.job_id,
        Stage.waits_for_part_id == JobPart.id,
        Stage.struck_at.is_(None),
        Stage.finished_at.is_(None),
    )
    return asked.order_by(Stage.position).limit(1).correlate(JobPart).scalar_subquery()


def late_clocks(floor: FloorNow) -> list[LateClock]:
    """Clocks that run past lunch, closing or midnight, the longest first."""
    opening, names = floor.shop.opening, floor.shop.person_names
    return [
        LateClock(clock.person_id, names[clock.person_id], clock.started_at, opening.local_day(clock.started_at))
        for clock in floor.clocks
        if next_stop(clock.started_at, opening)[0] < floor.moment
    ]

"""What jobs cost: the one place where labour, materials and what was bought are summed by job."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple, TypeVarTuple
from zoneinfo import ZoneInfo

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.shelf import Material, Movement
from shopbook.queries.jobs.whole import Clocked, WholeJob
from shopbook.queries.money.shop_supplies import list_supplies_shares
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.queries.shop.book import get_zone
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds, month_of
from shopbook.trade.purposes import JobPurpose, StagePurpose, is_put_right
from shopbook.trade.results.approved_work import material_key
from shopbook.trade.results.margin import Costs, bought_cost
from shopbook.trade.results.waterfall import MaterialDrawn

Columns = TypeVarTuple("Columns")

_PURPOSES = (Job.purpose.label("job_purpose"), Stage.purpose.label("stage_purpose"))


@dataclass(frozen=True, slots=True)
class CostLine:
    """What one job cost on one day, in minor units: in one of its stages, or outside them (`stage_id` is None).

    `is_put_right` says that it mended a defect: labour and materials of a stage of rework, and all of a comeback.
    """

    job_id: int
    stage_id: int | None
    on: date
    costs: Costs
    is_put_right: bool

    @property
    def counted(self) -> Costs:
        """As margins and months count it: what puts a defect right stands apart from the other kinds."""
        return self.costs.as_rework if self.is_put_right else self.costs


def list_costs(
    session: Session, *, jobs: Collection[int] | None = None, first: date = date.min, last: date = date.max
) -> list[CostLine]:
    """What jobs (these ids, or all) cost on the days from `first` to `last`, both included; five statements and the
    book, however many jobs.

    Labour stands on the day of its clock entry at its person's cost then, materials on the day they left the shelf at
    issue cost, less what came back. A part, colour, sublet work or a fee counts from the day it came and is taken off
    on the day it was sent back: 80.00 come on October 30 and sent back on November 5 are 80.00 of October and −80.00
    of November. The share of shop supplies of a month is what was opened in it up to `last`, by hours up to `last`,
    laid on the days on which a clock ran on the job; it is fixed once `last` reaches the month's end.
    """
    if jobs is not None and not jobs:
        return []
    worked = session.execute(_labour(jobs, first, last)).all()
    drawn = session.execute(_materials(jobs, first, last))
    bought = _bought(session.execute(_parts(jobs, first, last)), get_zone(session))
    return [
        *(_line(row, Costs(labour_minor=int(row.cost))) for row in worked),
        *(_line(row, Costs(materials_minor=-int(row.cost))) for row in drawn),
        *(line for line in bought if first <= line.on <= last),
        *_supplies(session, worked, first, last),
    ]


@dataclass(frozen=True, slots=True)
class CostsRead:
    """What some jobs cost up to a day, and who was clocked on them."""

    lines: tuple[CostLine, ...] = ()
    clocked: tuple[Clocked, ...] = ()


def read_costs(session: Session, jobs: Collection[int], last: date) -> CostsRead:
    """The `list_costs` of these jobs up to a day, with the people of their labour; the same statements.

    A line of labour stands for one person's day on a stage.
    """
    if not jobs:
        return CostsRead()
    worked = session.execute(_labour_by_person(jobs, last)).all()
    drawn = session.execute(_materials(jobs, date.min, last))
    bought = _bought(session.execute(_parts(jobs, date.min, last)), get_zone(session))
    lines = (
        *(_line(row, Costs(labour_minor=int(row.cost))) for row in worked),
        *(_line(row, Costs(materials_minor=-int(row.cost))) for row in drawn),
        *(line for line in bought if line.on <= last),
        *_supplies(session, worked, date.min, last),
    )
    clocked = (
        Clocked(row.job_id, row.stage_id, row.person_id, row.on, int(row.minutes), int(row.cost)) for row in worked
    )
    return CostsRead(lines, tuple(clocked))


class _Row(NamedTuple):
    """What a job cost of its clocks and parts, as the statements above answer it."""

    job_id: int
    stage_id: int
    on: date
    job_purpose: str
    stage_purpose: str
    cost: int


def costs_of(whole: WholeJob, shop: ShopOn) -> list[CostLine]:
    """The same of all days of one job that is read already, and of its comebacks; three statements."""
    job, session, always = whole.job, shop.session, (date.min, date.max)
    purposes = {stage.id: stage.purpose for stage in whole.stages}
    worked: list[Any] = [
        _Row(job.id, one.stage_id, one.on, job.purpose, purposes[one.stage_id], one.cost_minor) for one in whole.clocked
    ]
    worked += [
        _Row(one.job_id, one.stage_id, one.on, JobPurpose.COMEBACK, "", one.cost_minor) for one in whole.back_clocked
    ]
    came = [
        (part.job_id, part.kind, part.cost_minor, part.came_on, part.sent_back_at, _purpose(job, part))
        for part in (*whole.parts, *whole.back_parts)
        if part.came_on is not None
    ]
    drawn = session.execute(_materials([job.id, *(each.job_id for each in whole.comebacks)], *always))
    return [
        *(_line(row, Costs(labour_minor=int(row.cost))) for row in worked),
        *(_line(row, Costs(materials_minor=-int(row.cost))) for row in drawn),
        *_bought(came, shop.zone),
        *_supplies(session, worked, *always),
    ]


def _purpose(job: Job, part: JobPart) -> str:
    return job.purpose if part.job_id == job.id else JobPurpose.COMEBACK


def sum_by_job(lines: Iterable[CostLine]) -> dict[int, Costs]:
    """The lines of each job added up, as they are counted. The cost of jobs up to a day is
    `sum_by_job(list_costs(session, jobs=ids, last=day))`."""
    sums: dict[int, Costs] = defaultdict(Costs)
    for line in lines:
        sums[line.job_id] += line.counted
    return dict(sums)


def materials_drawn(session: Session, jobs: Collection[int], last: date) -> dict[int, list[MaterialDrawn]]:
    """What left the shelf for these jobs up to a day, but for rework, by material; one statement.

    The same movements as the materials of `list_costs`, with their amounts.
    """
    asked = (
        select(
            Movement.job_id,
            Material.id,
            Material.role,
            Material.unit,
            func.sum(Movement.quantity_thousandths),
            func.sum(Movement.value_minor),
        )
        .join(Material, Material.id == Movement.material_id)
        .outerjoin(Stage, Stage.id == Movement.stage_id)
        .where(Movement.job_id.in_(jobs), Movement.kind.in_(STAGE_KINDS), Movement.on <= last)
        .where(or_(Stage.id.is_(None), Stage.purpose != StagePurpose.REWORK))
        .group_by(Movement.job_id, Material.id, Material.role, Material.unit)
        .order_by(Movement.job_id, Material.id)
    )
    found: dict[int, list[MaterialDrawn]] = defaultdict(list)
    for job_id, material_id, role, unit, quantity, value in session.execute(asked):
        if job_id is not None:
            found[job_id].append(MaterialDrawn(material_key(role, material_id), unit, -int(quantity), -int(value)))
    return found


def _line(row: Any, costs: Costs) -> CostLine:
    return CostLine(row.job_id, row.stage_id, row.on, costs, is_put_right(row.job_purpose, row.stage_purpose or ""))


def _labour(jobs: Collection[int] | None, first: date, last: date) -> Select[int, int, date, str, str, int]:
    keys = (ClockShare.job_id, ClockShare.stage_id, ClockEntry.on)
    return _of(
        jobs,
        select(*keys, *_PURPOSES, func.sum(ClockShare.cost_minor).label("cost"))
        .select_from(ClockShare)
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Job, Job.id == ClockShare.job_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .where(ClockEntry.on.between(first, last))
        .group_by(*keys, Job.purpose, Stage.purpose),
        ClockShare.job_id,
    )


def _labour_by_person(jobs: Collection[int], last: date) -> Select[*tuple[Any, ...]]:
    more = (ClockEntry.person_id, func.sum(ClockShare.minutes).label("minutes"))
    return _labour(jobs, date.min, last).add_columns(*more).group_by(ClockEntry.person_id)


def _materials(
    jobs: Collection[int] | None, first: date, last: date
) -> Select[int | None, int | None, date, str, str, int]:
    keys = (Movement.job_id, Movement.stage_id, Movement.on)
    return _of(
        jobs,
        select(*keys, *_PURPOSES, func.sum(Movement.value_minor).label("cost"))
        .select_from(Movement)
        .join(Job, Job.id == Movement.job_id)
        .outerjoin(Stage, Stage.id == Movement.stage_id)
        .where(Movement.on.between(first, last), Movement.kind.in_(STAGE_KINDS))
        .group_by(*keys, Job.purpose, Stage.purpose),
        Movement.job_id,
    )


def _parts(
    jobs: Collection[int] | None, first: date, last: date
) -> Select[int, str, int, date | None, datetime | None, str]:
    """What came up to the last day; what came before the first day only where it was sent back."""
    asked = (
        select(JobPart.job_id, JobPart.kind, JobPart.cost_minor, JobPart.came_on, JobPart.sent_back_at, Job.purpose)
        .join(Job, Job.id == JobPart.job_id)
        .where(JobPart.came_on <= last, or_(JobPart.came_on >= first, JobPart.sent_back_at.is_not(None)))
    )
    return _of(jobs, asked, JobPart.job_id)


def _bought(rows: Iterable[Any], zone: ZoneInfo) -> Iterator[CostLine]:
    """What came, on its day, and its way back on the day that it was sent back."""
    for job_id, kind, cost_minor, came_on, sent_back_at, purpose in rows:
        cost, mends = bought_cost(kind, cost_minor), is_put_right(purpose)
        yield CostLine(job_id, None, came_on, cost, mends)
        if sent_back_at is not None:
            yield CostLine(job_id, None, sent_back_at.astimezone(zone).date(), Costs() - cost, mends)


def _supplies(session: Session, worked: Sequence[Any], first: date, last: date) -> Iterator[CostLine]:
    """The shares of shop supplies of the jobs on which a clock ran, on the days of those clocks."""
    if not worked:
        return
    mends = {row.job_id: is_put_right(row.job_purpose) for row in worked}
    begins, ends = (bound(row.on for row in worked) for bound in (min, max))
    whole = month_bounds(month_of(begins))[0], min(last, month_bounds(month_of(ends))[1])
    for job_id, day, share in list_supplies_shares(session, *whole):
        if job_id in mends and first <= day:
            yield CostLine(job_id, None, day, Costs(supplies_minor=share), mends[job_id])


def _of(jobs: Collection[int] | None, asked: Select[*Columns], column: Any) -> Select[*Columns]:
    """The statement over these jobs only, or over all."""
    return asked if jobs is None else asked.where(column.in_(jobs))

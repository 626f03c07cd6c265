"""What jobs earn: agreed, invoiced, planned beside actual cost, and what was spent after the car had gone."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Row, and_, case, func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, StageUse
from shopbook.models.money import Invoice
from shopbook.models.shelf import Movement
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.plans import stages_of
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.queries.money.planned import material_prices
from shopbook.queries.money.shop_floor import floor_shares
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.queries.shop.people import costs_on
from shopbook.trade import margin
from shopbook.trade.amounts import divide_half_away
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import RuleBroken
from shopbook.trade.margin import Costs, JobMargin, StageCost
from shopbook.trade.movements import Ratio
from shopbook.trade.part_kinds import PartKind
from shopbook.trade.purposes import JobPurpose, StagePurpose


@dataclass(frozen=True, slots=True)
class JobEarnings:
    """One job's three margins, and since the car went: what was spent then, and what its comebacks cost."""

    job_id: int
    margin: JobMargin
    so_far: Costs
    to_come: Costs
    since_minor: int = 0
    comebacks_minor: int = 0
    is_labour_known: bool = True
    """Whether anybody's hour has a cost: without one nothing can be said of what a job earns."""
    has_unpriced: bool = False
    """Whether materials still to be used have no price, so that the planned cost leaves them out."""

    @property
    def in_all(self) -> Costs:
        """What it will have cost if the rest goes as planned."""
        return self.margin.expected.costs

    @property
    def after_minor(self) -> int:
        """The margin once what came after hand-over is taken off: it stands in the months in which it happened."""
        return self.margin.expected.margin_minor - self.comebacks_minor


def job_margin(session: Session, job_id: int, day: date) -> JobEarnings:
    """What one job earns, at the costs and prices of a day where they are planned; see `margins`."""
    return margins(session, [job_id], day)[job_id]


def margins(session: Session, job_ids: Iterable[int], day: date) -> dict[int, JobEarnings]:
    """What each of these jobs earns; the number of statements does not depend on how many.

    Labour is at what its person's hour cost on the day of the clock entry; planned labour at the mean of all people
    with a cost. Materials are at issue cost, planned ones at the shelf's price or the plan's guess. What was opened for
    the shop floor is spread over jobs by hours. Rework, and all of a comeback but that, stands apart.
    """
    ids = sorted(set(job_ids))
    jobs = {job.id: job for job in session.scalars(select(Job).where(Job.id.in_(ids)))}
    agreed, invoiced = _agreed(session, ids, day), _invoiced(session, ids)
    hour = _mean_hour(session, day)
    planned, done, unpriced = _planned(session, ids, day, hour)
    actual, loose, since = _spent(session, ids)
    parts_planned, parts, parts_since = _bought(session, ids)
    comebacks, floor = _comebacks(session, ids), floor_shares(session, ids)
    found = {}
    for job_id in ids:
        rework = {stage_id for stage_id, purpose in done[job_id].items() if _is_rework(purpose[0], jobs[job_id])}
        rows = [
            StageCost(
                _as_rework(planned[job_id].get(stage_id, Costs()), stage_id in rework),
                _as_rework(actual[job_id].get(stage_id, Costs()), stage_id in rework),
                purpose[1],
            )
            for stage_id, purpose in done[job_id].items()
        ]
        bought = parts[job_id] + loose[job_id] + Costs(floor_minor=floor.get(job_id, 0))
        made = margin.job_margin(
            agreed[job_id],
            invoiced[job_id],
            rows,
            parts_planned[job_id],
            bought,
            is_settled=jobs[job_id].settled_at is not None,
        )
        found[job_id] = JobEarnings(
            job_id=job_id,
            margin=made,
            so_far=made.so_far.costs,
            to_come=made.expected.costs - made.so_far.costs,
            since_minor=since[job_id] + parts_since[job_id],
            comebacks_minor=comebacks[job_id],
            is_labour_known=bool(hour or made.so_far.costs.labour_minor),
            has_unpriced=job_id in unpriced,
        )
    return found


def _is_rework(purpose: str, job: Job) -> bool:
    return purpose == StagePurpose.REWORK or job.purpose == JobPurpose.COMEBACK


def _as_rework(costs: Costs, is_rework: bool) -> Costs:
    return Costs(rework_minor=costs.total_minor) if is_rework else costs


def _agreed(session: Session, ids: list[int], day: date) -> dict[int, int]:
    """Agreed without tax; nought where it cannot be worked out."""
    billing = billing_day(session, day)
    found = {}
    for job_id, work in agreed_work(session, ids).items():
        try:
            found[job_id] = bill_agreed(session, work, billing).bill.net_minor
        except RuleBroken:
            found[job_id] = 0
    return found


def _invoiced(session: Session, ids: list[int]) -> dict[int, int]:
    rows = session.execute(
        select(Invoice.job_id, func.sum(Invoice.net_minor)).where(Invoice.job_id.in_(ids)).group_by(Invoice.job_id)
    )
    return defaultdict(int, {job_id: int(net) for job_id, net in rows})


def _planned(
    session: Session, ids: list[int], day: date, hour: int
) -> tuple[dict[int, dict[int, Costs]], dict[int, dict[int, tuple[str, bool]]], set[int]]:
    """Planned costs by job and stage at a mean hour; of every stage its purpose and whether nothing more will come;
    and the jobs with materials still to be used that have no price."""
    stages = [stage for rows in stages_of(session, ids, with_struck=True).values() for stage in rows]
    prices, bought = material_prices(session, stages), _bought_roles(session, day)
    costs: dict[int, dict[int, Costs]] = defaultdict(dict)
    done: dict[int, dict[int, tuple[str, bool]]] = defaultdict(dict)
    unpriced: set[int] = set()
    for stage in stages:
        done[stage.job_id][stage.id] = (stage.purpose, bool(stage.finished_at or stage.struck_at))
        if stage.struck_at is None:
            labour = margin.labour_cost(stage.planned_minutes, hour)
            priced = [_planned_use(use, prices) for use in stage.uses]
            kept = list(zip(stage.uses, priced, strict=True))
            floor = sum(cost or 0 for use, cost in kept if use.way == WayUsed.FLOOR)
            materials = sum(cost or 0 for cost in priced) - floor
            if stage.finished_at is None and any(_lacks(*each, bought) for each in kept):
                unpriced.add(stage.job_id)
            costs[stage.job_id][stage.id] = Costs(labour_minor=labour, materials_minor=materials, floor_minor=floor)
    return costs, done, unpriced


def _mean_hour(session: Session, day: date) -> int:
    costs = [cost for cost in costs_on(session, day).values() if cost]
    return divide_half_away(sum(costs), len(costs)) if costs else 0


def _planned_use(use: StageUse, prices: Mapping[str, tuple[str, Ratio]]) -> int | None:
    unit, price = prices.get(use.role, ("", Ratio()))
    return price.of(use.amount_thousandths) if price.is_known and unit == use.unit else use.guess_cost_minor


def _lacks(use: StageUse, cost: int | None, bought: Collection[str]) -> bool:
    """The shop floor's is paid when a pack is opened, colour is bought for the job: neither needs one."""
    return cost is None and use.way != WayUsed.FLOOR and use.role not in bought and use.amount_thousandths > 0


def _bought_roles(session: Session, day: date) -> set[str]:
    return {role for role, one in catalogue_on(session, day).materials.items() if one.is_bought_for_job}


def _spent(session: Session, ids: list[int]) -> tuple[dict[int, dict[int, Costs]], dict[int, Costs], dict[int, int]]:
    """Actual costs by job and stage, those of no stage by job, and what of them came after hand-over by job."""
    by_stage: dict[int, dict[int, Costs]] = defaultdict(lambda: defaultdict(Costs))
    loose: dict[int, Costs] = defaultdict(Costs)
    since: dict[int, int] = defaultdict(int)
    for row in session.execute(_labour(ids)):
        by_stage[row.job_id][row.stage_id] += Costs(labour_minor=int(row.cost))
        since[row.job_id] += int(row.later)
    for row in session.execute(_materials(ids)):
        cost = Costs(materials_minor=-int(row.cost))
        if row.stage_id is None:
            loose[row.job_id] += cost
        else:
            by_stage[row.job_id][row.stage_id] += cost
        since[row.job_id] -= int(row.later)
    return by_stage, loose, since


def _labour(ids: list[int]) -> Any:
    is_later = and_(Job.handed_over_on.is_not(None), ClockEntry.on > Job.handed_over_on)
    return (
        select(
            ClockShare.job_id,
            ClockShare.stage_id,
            func.sum(ClockShare.cost_minor).label("cost"),
            func.sum(case((is_later, ClockShare.cost_minor), else_=0)).label("later"),
        )
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Job, Job.id == ClockShare.job_id)
        .where(ClockShare.job_id.in_(ids))
        .group_by(ClockShare.job_id, ClockShare.stage_id)
    )


def _materials(ids: list[int]) -> Any:
    is_later = and_(Job.handed_over_on.is_not(None), Movement.on > Job.handed_over_on)
    return (
        select(
            Movement.job_id,
            Movement.stage_id,
            func.sum(Movement.value_minor).label("cost"),
            func.sum(case((is_later, Movement.value_minor), else_=0)).label("later"),
        )
        .join(Job, Job.id == Movement.job_id)
        .where(Movement.job_id.in_(ids), Movement.kind.in_(STAGE_KINDS))
        .group_by(Movement.job_id, Movement.stage_id)
    )


def _bought(session: Session, ids: list[int]) -> tuple[dict[int, Costs], dict[int, Costs], dict[int, int]]:
    """What is bought for each job: as planned, what came and was not sent back, and what of that after hand-over."""
    planned: dict[int, Costs] = defaultdict(Costs)
    came: dict[int, Costs] = defaultdict(Costs)
    since: dict[int, int] = defaultdict(int)
    is_later = and_(Job.handed_over_on.is_not(None), JobPart.came_on > Job.handed_over_on)
    rows: Iterable[Row[Any]] = session.execute(
        select(JobPart.job_id, JobPart.kind, JobPart.cost_minor, JobPart.came_at, JobPart.sent_back_at)
        .add_columns(case((is_later, 1), else_=0).label("is_later"))
        .join(Job, Job.id == JobPart.job_id)
        .where(JobPart.job_id.in_(ids), JobPart.struck_at.is_(None))
    )
    for part in rows:
        is_sublet = part.kind == PartKind.SUBLET
        cost = Costs(sublet_minor=part.cost_minor) if is_sublet else Costs(parts_minor=part.cost_minor)
        planned[part.job_id] += cost
        if part.came_at is not None and part.sent_back_at is None:
            came[part.job_id] += cost
            since[part.job_id] += cost.total_minor * part.is_later
    return planned, came, since


def _comebacks(session: Session, ids: list[int]) -> dict[int, int]:
    """What the comebacks of these jobs cost so far, by the first job."""
    found: dict[int, int] = defaultdict(int)
    back: dict[int, int] = {
        key: int(first or 0)
        for key, first in session.execute(select(Job.id, Job.comeback_of_id).where(Job.comeback_of_id.in_(ids)))
    }
    if not back:
        return found
    for asked, sign in ((_labour(list(back)), 1), (_materials(list(back)), -1)):
        for row in session.execute(asked):
            found[back[row.job_id]] += sign * int(row.cost)
    _, came, _ = _bought(session, list(back))
    for job_id, costs in came.items():
        found[back[job_id]] += costs.total_minor
    for job_id, share in floor_shares(session, list(back)).items():
        found[back[job_id]] += share
    return found

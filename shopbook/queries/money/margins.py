"""What jobs earn: agreed, invoiced, planned beside actual cost, and what was spent after the car had gone."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, JobPart, StageUse
from shopbook.models.money import Invoice
from shopbook.queries.jobs.comebacks import comebacks_of
from shopbook.queries.jobs.plans import stages_of
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.queries.money.costs import CostLine, list_costs
from shopbook.queries.money.planned import material_prices
from shopbook.queries.shop.people import costs_on
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.purposes import is_put_right
from shopbook.trade.results import margin
from shopbook.trade.results.margin import Costs, JobMargin, StageCost, bought_cost
from shopbook.trade.stock.movements import Ratio


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
    the shop floor is spread over jobs by hours. Rework, and all of a comeback, stands apart.
    """
    ids = sorted(set(job_ids))
    jobs = {job.id: job for job in session.scalars(select(Job).where(Job.id.in_(ids)))}
    agreed, invoiced = _agreed(session, ids, day), _invoiced(session, ids)
    hour = _mean_hour(session, day)
    planned, done, unpriced = _planned(session, ids, day, hour)
    spent, parts_planned = _spent(session, ids, jobs), _parts_planned(session, ids)
    found = {}
    for job_id in ids:
        job, own = jobs[job_id], spent[job_id]
        rows = [
            StageCost(
                _as_rework(planned[job_id].get(stage_id, Costs()), is_put_right(job.purpose, purpose)),
                own.by_stage.get(stage_id, Costs()),
                is_done,
            )
            for stage_id, (purpose, is_done) in done[job_id].items()
        ]
        made = margin.job_margin(
            agreed[job_id],
            invoiced[job_id],
            rows,
            parts_planned[job_id],
            own.outside,
            is_settled=job.settled_at is not None,
        )
        made = made.as_rework if is_put_right(job.purpose) else made
        found[job_id] = JobEarnings(
            job_id=job_id,
            margin=made,
            so_far=made.so_far.costs,
            to_come=made.expected.costs - made.so_far.costs,
            since_minor=own.since_minor,
            comebacks_minor=own.comebacks_minor,
            is_labour_known=bool(hour or own.has_labour),
            has_unpriced=job_id in unpriced,
        )
    return found


def _as_rework(costs: Costs, is_rework: bool) -> Costs:
    return costs.as_rework if is_rework else costs


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


@dataclass(slots=True)
class _Spent:
    """What a job cost in its stages and outside them, what of it came once the car had gone, and its comebacks.

    Outside the stages the kinds stay apart, so that each is set against what is planned of it.
    """

    by_stage: dict[int, Costs] = field(default_factory=dict)
    outside: Costs = field(default_factory=Costs)
    since_minor: int = 0
    comebacks_minor: int = 0
    has_labour: bool = False

    def add(self, line: CostLine, gone_on: date | None) -> None:
        if line.stage_id is None:
            self.outside += line.costs
        else:
            self.by_stage[line.stage_id] = self.by_stage.get(line.stage_id, Costs()) + line.counted
        self.has_labour |= bool(line.costs.labour_minor)
        if gone_on is not None and line.on > gone_on:
            self.since_minor += line.costs.total_minor


def _spent(session: Session, ids: list[int], jobs: Mapping[int, Job]) -> dict[int, _Spent]:
    """What each of these jobs cost, and in all what its comebacks did: before and after they went again."""
    found = {job_id: _Spent() for job_id in ids}
    first_of: dict[int, list[int]] = defaultdict(list)
    for first_id, back_id in comebacks_of(session, ids):
        first_of[back_id].append(first_id)
    for line in list_costs(session, jobs={*ids, *first_of}):
        if line.job_id in found:
            found[line.job_id].add(line, jobs[line.job_id].handed_over_on)
        for first_id in first_of[line.job_id]:
            found[first_id].comebacks_minor += line.costs.total_minor
    return found


def _parts_planned(session: Session, ids: list[int]) -> dict[int, Costs]:
    """What is to be bought for each job, whether it has come or not."""
    planned: dict[int, Costs] = defaultdict(Costs)
    for part in session.scalars(select(JobPart).where(JobPart.job_id.in_(ids), JobPart.struck_at.is_(None))):
        planned[part.job_id] += bought_cost(part.kind, part.cost_minor)
    return planned

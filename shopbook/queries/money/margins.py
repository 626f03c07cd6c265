"""What jobs earn: agreed, invoiced, planned beside actual cost, and what was spent after the car had gone."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, JobPart, Stage, StageUse
from shopbook.models.money import Invoice
from shopbook.queries.jobs.comebacks import comebacks_of
from shopbook.queries.jobs.plans import stages_of
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.money.accounts import Accounts
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work, bill_agreed, billing_of
from shopbook.queries.money.costs import CostLine, costs_of, list_costs
from shopbook.queries.money.planned import material_prices, prices_among
from shopbook.queries.shelf.materials import best_by_role
from shopbook.queries.shop.people import costs_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import labour_cost
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
    is_unclocked: bool = False
    """Whether its work is done and nobody's clock ran on it: what hours cost is then not in what it earned."""

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


def margins(session: Session, job_ids: Iterable[int], day: date, shop: ShopOn | None = None) -> dict[int, JobEarnings]:
    """What each of these jobs earns; the number of statements does not depend on how many.

    Labour is at what its person's hour cost on the day of the clock entry; planned labour at the mean of all people
    with a cost. Materials are at issue cost, planned ones at the shelf's price or the plan's guess. What was opened for
    shop supplies are spread over jobs by hours. Rework, and all of a comeback, stands apart. `shop` is the shop on any
    day where it is read already.
    """
    ids, shop = sorted(set(job_ids)), shop.on(day) if shop else ShopOn(session, day)
    jobs = {job.id: job for job in session.scalars(select(Job).where(Job.id.in_(ids)))}
    agreed, invoiced = _agreed(shop, ids), _invoiced(session, ids)
    stages = stages_of(session, ids, with_struck=True)
    prices = material_prices(session, [stage for rows in stages.values() for stage in rows])
    priced = _Priced(prices, _bought_roles(shop), _mean_hour(session, day))
    spent, parts = _spent(session, ids, jobs), _parts_planned(session, ids)
    return {
        job_id: _earnings(
            jobs[job_id],
            agreed[job_id],
            invoiced[job_id],
            _plan(stages.get(job_id, ()), priced),
            spent[job_id],
            parts[job_id],
            priced,
        )
        for job_id in ids
    }


def earnings_of(whole: WholeJob, accounts: Accounts) -> JobEarnings:
    """The same of one job that is read already, with what its money is made of; four statements."""
    job, shop = whole.job, accounts.shop
    prices = prices_among(best_by_role(one for one in whole.materials if one.role and one.is_active))
    priced = _Priced(prices, _bought_roles(shop), _mean_hour(shop.session, shop.day))
    spent = _Spent()
    for line in costs_of(whole, shop):
        if line.job_id == job.id:
            spent.add(line, job.handed_over_on)
        else:
            spent.comebacks_minor += line.costs.total_minor
    return _earnings(
        job,
        _agreed_net(accounts.work[job.id], accounts.billing),
        accounts.issued[job.id].net_minor,
        _plan(whole.stages, priced),
        spent,
        sum((bought_cost(part.kind, part.cost_minor) for part in whole.standing_parts), Costs()),
        priced,
    )


@dataclass(frozen=True, slots=True)
class _Priced:
    """What planned work is priced by: unit and price by role, roles that are bought for a job, the mean hour."""

    prices: Mapping[str, tuple[str, Ratio]]
    bought: Collection[str]
    hour_minor: int


def _earnings(
    job: Job,
    agreed_minor: int,
    invoiced_minor: int,
    plan: "_Plan",
    spent: "_Spent",
    parts_planned: Costs,
    priced: _Priced,
) -> JobEarnings:
    mends = is_put_right(job.purpose)
    rows = [
        StageCost(_as_rework(planned, is_put_right(job.purpose, purpose)), spent.by_stage.get(key, Costs()), is_done)
        for key, (planned, purpose, is_done) in plan.stages.items()
    ]
    made = margin.job_margin(
        agreed_minor, invoiced_minor, rows, parts_planned, spent.outside, is_settled=job.settled_at is not None
    )
    made = made.as_rework if mends else made
    return JobEarnings(
        job_id=job.id,
        margin=made,
        so_far=made.so_far.costs,
        to_come=made.expected.costs - made.so_far.costs,
        since_minor=spent.since_minor,
        comebacks_minor=spent.comebacks_minor,
        is_labour_known=bool(priced.hour_minor or spent.has_labour),
        has_unpriced=plan.has_unpriced,
        is_unclocked=bool(plan.stages)
        and not spent.has_labour
        and all(is_done for _, _, is_done in plan.stages.values()),
    )


def _as_rework(costs: Costs, is_rework: bool) -> Costs:
    return costs.as_rework if is_rework else costs


def _agreed(shop: ShopOn, ids: list[int]) -> dict[int, int]:
    billing = billing_of(shop)
    return {job_id: _agreed_net(work, billing) for job_id, work in agreed_work(shop.session, ids).items()}


def _agreed_net(work: AgreedWork, billing: BillingDay) -> int:
    """Agreed without tax; zero where it cannot be worked out."""
    try:
        return bill_agreed(work, billing).bill.net_minor
    except RuleBroken:
        return 0


def _invoiced(session: Session, ids: list[int]) -> dict[int, int]:
    rows = session.execute(
        select(Invoice.job_id, func.sum(Invoice.net_minor)).where(Invoice.job_id.in_(ids)).group_by(Invoice.job_id)
    )
    return defaultdict(int, {job_id: int(net) for job_id, net in rows})


@dataclass(frozen=True, slots=True)
class _Plan:
    """Of every stage by id: what it is planned to cost, its purpose, and whether nothing more of it will come.

    `has_unpriced`: materials still to be used have no price.
    """

    stages: Mapping[int, tuple[Costs, str, bool]]
    has_unpriced: bool


def _plan(stages: Iterable[Stage], priced: _Priced) -> _Plan:
    """One job's plan at a mean hour, removed stages (planned to cost nothing) among them."""
    found: dict[int, tuple[Costs, str, bool]] = {}
    has_unpriced = False
    for stage in stages:
        uses = [(use, _planned_use(use, priced.prices)) for use in stage.uses]
        costs = _planned_costs(stage, uses, priced.hour_minor) if stage.struck_at is None else Costs()
        has_unpriced |= not stage.is_over and any(_lacks(*each, priced.bought) for each in uses)
        found[stage.id] = (costs, stage.purpose, stage.is_over)
    return _Plan(found, has_unpriced)


def _planned_costs(stage: Stage, uses: Iterable[tuple[StageUse, int | None]], hour_minor: int) -> Costs:
    by_way = {True: 0, False: 0}
    for use, cost in uses:
        by_way[use.way == WayUsed.SHOP_SUPPLIES] += cost or 0
    labour = labour_cost(stage.planned_minutes, hour_minor)
    return Costs(labour_minor=labour, materials_minor=by_way[False], supplies_minor=by_way[True])


def _mean_hour(session: Session, day: date) -> int:
    costs = [cost for cost in costs_on(session, day).values() if cost]
    return divide_half_away(sum(costs), len(costs)) if costs else 0


def _planned_use(use: StageUse, prices: Mapping[str, tuple[str, Ratio]]) -> int | None:
    unit, price = prices.get(use.role, ("", Ratio()))
    return price.of(use.amount_thousandths) if price.is_known and unit == use.unit else use.guess_cost_minor


def _lacks(use: StageUse, cost: int | None, bought: Collection[str]) -> bool:
    """Shop supplies are paid when a pack is opened, paint is bought for the job: neither needs one."""
    return cost is None and use.way != WayUsed.SHOP_SUPPLIES and use.role not in bought and use.amount_thousandths > 0


def _bought_roles(shop: ShopOn) -> set[str]:
    return {role for role, one in shop.catalogue.materials.items() if one.is_bought_for_job}


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
    for each in comebacks_of(session, ids):
        first_of[each.job_id].append(each.first_id)
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

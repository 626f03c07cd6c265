"""The rows of the job ledger: where each job stands, its coats, its plan, its hours; and the sums above."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ScalarSelect, case, func, select

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.jobs import TAB_COUNTS, Tab, job_standing
from shopbook.queries.jobs.plans import JobHours, plan_facts, readiness_with, sum_hours
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.next_act import PlanFacts
from shopbook.trade.standing import Standing


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One job of the ledger."""

    job: Job
    standing: Standing
    place: str
    signs: Sequence[PanelSign]
    plan: PlanFacts
    hours: JobHours
    is_here: bool


@dataclass(frozen=True, slots=True)
class LedgerSums:
    """What stands above the ledger, over all open jobs."""

    in_shop: int
    out_today: int
    in_today: int
    not_approved: int
    agreed_minutes_left: int


def ledger_of(shop: ShopOn, wholes: Iterable[WholeJob], now: datetime) -> list[LedgerRow]:
    """The same of jobs that are read already, in their order."""
    places = shop.place_names
    return [_row(whole, places, shop.catalogue, now) for whole in wholes]


def plan_now(whole: WholeJob, now: datetime) -> tuple[PlanFacts, JobHours]:
    """What of a job's plan bears on its next act, and its hours; no statement."""
    hours = sum_hours(whole.plan, whole.used_minutes)
    readiness = readiness_with(whole.job, whole.stages, whole.parts_by_id, now)
    return plan_facts(whole.plan, readiness, hours, has_damage=bool(whole.damages)), hours


def _row(whole: WholeJob, places: Mapping[int, str], catalogue: Catalogue, now: datetime) -> LedgerRow:
    job, (plan, hours) = whole.job, plan_now(whole, now)
    return LedgerRow(
        job=job,
        standing=job_standing(job),
        place=places.get(job.place_id or 0, ""),
        signs=job_coats(whole.plan, whole.damages, catalogue, now, job.colour_hex),
        plan=plan,
        hours=hours,
        is_here=job.came_at is not None and job.handed_over_at is None,
    )


@dataclass(frozen=True, slots=True)
class LedgerHead:
    """What stands above the list: how many jobs each tab holds, the sums, and the number of the sample job while it
    has not been removed."""

    counts: Mapping[Tab, int]
    sums: LedgerSums
    sample: int | None


_IS_OPEN = (Job.called_off_at.is_(None), Job.handed_over_at.is_(None), ~Job.is_sample)


def ledger_head(shop: ShopOn) -> LedgerHead:
    """The same, counted as the page of the day counts: what is late counts as today's; one statement."""
    sums = (
        func.count().filter(*_IS_OPEN, Job.came_at.is_not(None)),
        func.count().filter(*_IS_OPEN, Job.came_at.is_not(None), Job.promise_on <= shop.day),
        func.count().filter(*_IS_OPEN, Job.drop_off_on <= shop.day, Job.came_at.is_(None)),
        func.count().filter(*_IS_OPEN, Job.agreed_at.is_(None), Job.quoted_at.is_not(None), Job.purpose == "paid"),
        _minutes_left(),
    )
    sample = func.min(Job.number).filter(Job.is_sample, Job.called_off_at.is_(None))
    shop.session.flush()
    *row, number = shop.session.execute(select(*TAB_COUNTS, *sums, sample).select_from(Job)).one()
    figures = [int(each or 0) for each in row]
    counts = dict(zip(Tab, figures[: len(TAB_COUNTS)], strict=True))
    return LedgerHead(counts, LedgerSums(*figures[len(TAB_COUNTS) :]), number)


def _minutes_left() -> ScalarSelect[int]:
    """Man-minutes still to come of open jobs that are agreed to: of each open stage what was planned, less what was
    clocked, nothing where more was: planned 60, clocked 90, and planned 40, clocked 10, is 30."""
    clocked = select(func.sum(ClockShare.minutes)).where(ClockShare.stage_id == Stage.id).scalar_subquery()
    stages = (
        select(Stage.planned_minutes.label("planned"), func.coalesce(clocked, 0).label("clocked"))
        .join(Job, Job.id == Stage.job_id)
        .where(*_IS_OPEN, Job.agreed_at.is_not(None), Stage.struck_at.is_(None), Stage.finished_at.is_(None))
        .subquery()
    )
    left = case((stages.c.planned > stages.c.clocked, stages.c.planned - stages.c.clocked), else_=0)
    return select(func.sum(left)).scalar_subquery()

"""The rows of the job ledger: where each job stands, its coats, its plan, its hours; and the sums above."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.jobs.plans import JobHours, plan_facts, readiness_with, sum_hours
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shop.days import day_of
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


def ledger_sums(session: Session, now: datetime) -> LedgerSums:
    """The figures above the ledger, counted as the page of the day counts them: what is late counts as today's."""
    today = day_of(session, now)
    is_open = (Job.called_off_at.is_(None), Job.handed_over_at.is_(None), ~Job.is_sample)
    counts = session.execute(
        select(
            func.count().filter(Job.came_at.is_not(None)),
            func.count().filter(Job.came_at.is_not(None), Job.promise_on <= today),
            func.count().filter(Job.drop_off_on <= today, Job.came_at.is_(None)),
            func.count().filter(Job.agreed_at.is_(None), Job.quoted_at.is_not(None), Job.purpose == "paid"),
        )
        .select_from(Job)
        .where(*is_open)
    ).one()
    return LedgerSums(*counts, agreed_minutes_left=_left(session, *is_open, Job.agreed_at.is_not(None)))


def _left(session: Session, *of: ColumnElement[bool]) -> int:
    """Man-minutes that are still to come of these jobs: of each open stage what was planned, less what was clocked."""
    used = select(func.sum(ClockShare.minutes)).where(ClockShare.stage_id == Stage.id).scalar_subquery()
    rows = session.execute(
        select(Stage.planned_minutes, used)
        .join(Job, Job.id == Stage.job_id)
        .where(*of, Stage.struck_at.is_(None), Stage.finished_at.is_(None))
    )
    return sum(max(0, planned - int(minutes or 0)) for planned, minutes in rows)

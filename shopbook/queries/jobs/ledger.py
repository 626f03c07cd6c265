"""The rows of the job ledger: where each job stands, its coats, its plan, its hours; and the sums above."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import damages_of
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.jobs.plans import JobHours, hours_of, plan_facts, readiness_among, stages_of, without_struck
from shopbook.queries.shop.book import list_places
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import catalogue_on
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
    without_yes: int
    agreed_minutes_left: int


def ledger_rows(session: Session, jobs: Sequence[Job], now: datetime) -> list[LedgerRow]:
    """Each job with coats, open stages and hours; the number of statements does not depend on how many."""
    today = day_of(session, now)
    ids = [job.id for job in jobs]
    planned = stages_of(session, ids, with_struck=True, with_uses=False)
    readiness = readiness_among(session, {job.id: job for job in jobs}, planned, now)
    stages, damages, hours = without_struck(planned), damages_of(session, ids), hours_of(session, ids)
    catalogue = catalogue_on(session, today)
    places = {place.id: place.name for place in list_places(session)}
    rows = []
    for job in jobs:
        own, hurt = stages.get(job.id, []), damages.get(job.id, [])
        hex_colour = job.vehicle.colour_hex if job.vehicle else ""
        rows.append(
            LedgerRow(
                job=job,
                standing=job_standing(job),
                place=places.get(job.place_id or 0, ""),
                signs=job_coats(own, hurt, catalogue, now, hex_colour),
                plan=plan_facts(own, readiness, hours[job.id], has_damage=bool(hurt)),
                hours=hours[job.id],
                is_here=job.came_at is not None and job.handed_over_at is None,
            )
        )
    return rows


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
    agreed = list(session.scalars(select(Job.id).where(*is_open, Job.agreed_at.is_not(None))))
    left = sum(hours.to_come_minutes for hours in hours_of(session, agreed).values())
    return LedgerSums(*counts, agreed_minutes_left=left)

"""The rows of the job ledger: where each job stands, its coats, what comes next, its hours; and the sums above."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, Stage
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import damages_of
from shopbook.queries.jobs.jobs import job_standing
from shopbook.queries.jobs.plans import JobHours, hours_of, readiness_among, stages_of, without_struck
from shopbook.queries.shop.book import list_places
from shopbook.queries.shop.days import day_of
from shopbook.trade.readiness import Hold, Readiness, StageState
from shopbook.trade.standing import Standing


@dataclass(frozen=True, slots=True)
class Next:
    """What comes next of a job: in words, a tag of a kind, and the moment that the tag speaks of, if there is one."""

    words: str
    tag: str = ""
    kind: str = ""
    not_before_at: datetime | None = None
    is_today: bool = True


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One job of the ledger."""

    job: Job
    standing: Standing
    place: str
    signs: Sequence[PanelSign]
    next: Next
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
    """Each job with its coats, what comes next and its hours; the number of statements does not depend on how many."""
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
                next=next_of(session, job, own, hurt, readiness, hours[job.id], now),
                hours=hours[job.id],
                is_here=job.came_at is not None and job.handed_over_at is None,
            )
        )
    return rows


def next_of(
    session: Session,
    job: Job,
    stages: Sequence[Stage],
    damages: Sequence[Damage],
    readiness: Mapping[int, Readiness],
    hours: JobHours,
    now: datetime,
) -> Next:
    """What comes next of one job, for its standing."""
    standing = job_standing(job)
    if standing is Standing.QUOTED and not stages:
        return Next("Look at the car" if not damages else "Draft its plan", "no plan yet", "warn")
    if standing is Standing.QUOTED:
        return _ask(job, day_of(session, now))
    if standing in _ENDINGS:
        return _ENDINGS[standing] if job.told_ready_at or standing is not Standing.READY else _TELL
    return _work(session, stages, readiness, hours, now)


_TELL = Next("Tell the owner", "ready", "good")
_ENDINGS = {
    Standing.READY: Next("Hand over", "told", "good"),
    Standing.HANDED_OVER: Next("Take the rest", "not paid", "warn"),
    Standing.SETTLED: Next("Nothing more", "settled", "good"),
    Standing.CALLED_OFF: Next("Nothing more", "called off"),
}


def _ask(job: Job, today: date) -> Next:
    days = (today - job.opened_on).days
    words = "today" if days == 0 else "1 day" if days == 1 else f"{days} days"
    return Next("Ask for the yes", f"quote, {words}", "warn")


def _work(
    session: Session, stages: Sequence[Stage], readiness: Mapping[int, Readiness], hours: JobHours, now: datetime
) -> Next:
    to_do = [stage for stage in stages if stage.finished_at is None]
    if not to_do:
        return Next("Call it ready", "all done", "good")
    chosen = next((stage for stage in to_do if readiness[stage.id].can_begin), to_do[0])
    each = readiness[chosen.id]
    if hours.used_minutes > hours.planned_minutes:
        return Next(chosen.name, "over its hours", "late")
    if each.state is StageState.BEGUN:
        return Next(chosen.name, "in work", "wait")
    if Hold.WAIT in each.holds and each.ready_at is not None:
        is_today = day_of(session, each.ready_at) == day_of(session, now)
        return Next(chosen.name, "", "wait", each.ready_at, is_today)
    if each.state is StageState.CAN_BEGIN:
        return Next(chosen.name, "can be worked", "good")
    kinds = {Hold.PART: "warn", Hold.NO_YES: "warn"}
    return Next(chosen.name, each.sentence, kinds.get(each.holds[0], ""))


def ledger_sums(session: Session, now: datetime) -> LedgerSums:
    """The figures above the ledger, counted as the page of the day counts them: what is late counts as today's."""
    today = day_of(session, now)
    is_open = (Job.called_off_at.is_(None), Job.handed_over_at.is_(None), ~Job.is_sample)
    counts = session.execute(
        select(
            func.count().filter(Job.came_at.is_not(None)),
            func.count().filter(Job.came_at.is_not(None), Job.promise_on <= today),
            func.count().filter(Job.drop_off_on <= today, Job.came_at.is_(None)),
            func.count().filter(Job.agreed_at.is_(None), Job.purpose == "paid"),
        )
        .select_from(Job)
        .where(*is_open)
    ).one()
    agreed = list(session.scalars(select(Job.id).where(*is_open, Job.agreed_at.is_not(None))))
    left = sum(hours.to_come_minutes for hours in hours_of(session, agreed).values())
    return LedgerSums(*counts, agreed_minutes_left=left)

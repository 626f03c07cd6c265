"""The jobs of a customer or a car on their own pages, each with how it stands and its day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.queries.jobs.finding import list_visits
from shopbook.queries.jobs.jobs import job_standing
from shopbook.trade.measures.half_days import SHORT_HALVES
from shopbook.trade.standing import STANDING_TAGS, STANDING_WORDS
from shopbook.web.parts.frame import near_day, said
from shopbook.web.parts.rows import Customer, Job, Vehicle
from shopbook.web.parts.sections import Page, page_section


@dataclass(frozen=True, slots=True)
class Visit:
    """One job in a line: how it stands as a word with its kind of tag, and the day that counts now."""

    job: Job
    standing: str
    tag: str
    day: str


def visits(jobs: Iterable[Job]) -> list[Visit]:
    """Jobs as lines, in the order given."""
    return [
        Visit(job, said(STANDING_WORDS[standing]), STANDING_TAGS[standing], _day(job))
        for job in jobs
        for standing in [job_standing(job)]
    ]


def _day(job: Job) -> str:
    """When it went, goes or comes; how long ago it was opened for a job without a day."""
    if job.called_off_at is not None:
        return ""
    if job.handed_over_on:
        return f"left {near_day(job.handed_over_on)}"
    if job.came_at is not None:
        half = SHORT_HALVES[job.promise_half]
        return f"out {near_day(job.promise_on)}{half}" if job.promise_on else "no day promised"
    return f"comes {near_day(job.drop_off_on)}" if job.drop_off_on else f"opened {near_day(job.opened_on)}"


@page_section(Page.CUSTOMER, "jobs/_visits.html", order=10)
def customers_visits(session: Session, customer: Customer) -> Mapping[str, object]:
    """Every visit of a customer, whatever car it was."""
    return {"visits": visits(list_visits(session, customer_id=customer.id)), "has_cars": True}


@page_section(Page.CAR, "jobs/_visits.html", order=10)
def cars_visits(session: Session, vehicle: Vehicle) -> Mapping[str, object]:
    """Every visit of a car, whoever brought it."""
    return {"visits": visits(list_visits(session, vehicle_id=vehicle.id)), "has_cars": False}

"""Makers of the diary: a shop with two technicians, and cars that are promised."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.services.jobs.jobs import check_in, plan_days
from shopbook.trade.permissions import THE_PROGRAM, Actor, Role
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job
from tests.makers.shop import make_person

FRIDAY = date(2026, 11, 6)
MONDAY = date(2026, 11, 9)


def make_hands(session: Session) -> tuple[Actor, Actor]:
    """Sam who does the body work and the details, Dana who paints; both there whenever the shop is."""
    return (
        make_person(session, "Sam", Role.TECHNICIAN, skills=("body", "detail")),
        make_person(session, "Dana", Role.TECHNICIAN, skills=("paint",)),
    )


def make_promised_job(
    session: Session,
    *panels: str,
    comes: date | None = THURSDAY,
    back: date | None = FRIDAY,
    is_here: bool = False,
    half_in: str = "morning",
    half_back: str = "afternoon",
    **given: Any,
) -> Job:
    """An agreed job with a drafted plan that comes on one day and is promised for another."""
    job = make_planned_job(session, *panels, is_agreed=True, **given)
    plan_days(session, THE_PROGRAM, job.opened_at, job.id, comes, half_in, back, half_back)
    if is_here:
        check_in(session, THE_PROGRAM, at("7:50", comes or THURSDAY), job.id, revision=job.revision)
    return job

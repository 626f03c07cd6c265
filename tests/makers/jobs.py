"""Makers of jobs with their damage and stages."""

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, Job, Stage
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import mark_agreed, open_job
from shopbook.services.jobs.plans import add_stage
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.customers import make_customer, make_vehicle
from tests.makers.shop import STARTED


def make_job(session: Session, *, at: datetime = STARTED, **given: Any) -> Job:
    """A job of a new customer with a blue hatchback, no damage and no plan yet."""
    if "customer_id" not in given and "vehicle_id" not in given:
        customer = make_customer(session)
        given |= {"customer_id": customer.id, "vehicle_id": make_vehicle(session, customer).id}
    plain: dict[str, Any] = {"customer_id": None, "vehicle_id": None, "wrong": "Two doors hit by a post"}
    return open_job(Act(session, THE_PROGRAM, at), **(plain | given))


def make_damage(session: Session, job: Job, panel: str = "right_front_door", **given: Any) -> Damage:
    """A finger-deep, palm-sized dent in steel that will be painted."""
    plain: dict[str, Any] = {"kind": "dent", "size": "M", "depth": "finger", "substrate": "steel", "paint": "paint"}
    return add_damage(Act(session, THE_PROGRAM, STARTED), job.id, panel=panel, **(plain | given))


def make_stage(session: Session, job: Job, name: str = "Pull and tap level", **given: Any) -> Stage:
    """One hour of body work at the end of the plan."""
    plain: dict[str, Any] = {"skill": "body", "minutes": 60, "panels": ("right_front_door",)}
    return add_stage(Act(session, THE_PROGRAM, STARTED), job.id, name=name, **(plain | given))


def make_planned_job(session: Session, *panels: str, is_agreed: bool = False, **given: Any) -> Job:
    """A job with one dent on each panel (the right front door without any named) and its plan drafted."""
    job = make_job(session, **given)
    hurt = panels or ("right_front_door",)
    for panel in hurt:
        make_damage(session, job, panel)
    draft_plan(Act(session, THE_PROGRAM, STARTED), job.id)
    if is_agreed:
        mark_agreed(session, STARTED, job, hurt)
    return job

"""One field for a name or a phone: a quick job, a quick estimate and a booking read it by one rule."""

from collections.abc import Callable
from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.services.act import Act
from shopbook.services.jobs.kerb import book_car_in, open_kerb_job
from shopbook.services.money.quick import quick_job
from shopbook.trade.permissions import Actor
from shopbook.trade.planning.kerb import KerbAnswer
from tests.makers import make_customer, make_vehicle

Opens = Callable[[Session, Actor, datetime, str], Job]


def by_quick_job(session: Session, actor: Actor, now: datetime, who: str) -> Job:
    invoice = quick_job(Act(session, actor, now), who=who, what="polish a door", price_minor=6000, means="cash")
    return session.get_one(Job, invoice.job_id)


def by_estimate(session: Session, actor: Actor, now: datetime, who: str) -> Job:
    return open_kerb_job(Act(session, actor, now), who=who, wrong="Hail", answers=[KerbAnswer("bonnet")])


def by_booking(session: Session, actor: Actor, now: datetime, who: str) -> Job:
    return book_car_in(Act(session, actor, now), who=who, wrong="Hail", payer_kind="private", purpose="paid")


ALL: tuple[Opens, ...] = (by_quick_job, by_estimate, by_booking)


@pytest.mark.parametrize("opened", ALL)
@pytest.mark.parametrize("typed", ["555-0164 Rena Kolb", "Rena Kolb, 555-0164"])
def test_a_number_before_or_behind_the_name_is_the_phone(
    session: Session, owner: Actor, now: datetime, opened: Opens, typed: str
) -> None:
    job = opened(session, owner, now, typed)
    customer = session.get_one(Customer, job.customer_id or 0)
    assert (customer.name, customer.phone) == ("Rena Kolb", "555-0164")


@pytest.mark.parametrize("opened", ALL)
def test_a_known_phone_leads_to_who_is_known(session: Session, owner: Actor, now: datetime, opened: Opens) -> None:
    known = make_customer(session, "Rena Kolb", "555-0164")
    assert opened(session, owner, now, "555-0164").customer_id == known.id
    assert len(session.scalars(select(Customer)).all()) == 1


@pytest.mark.parametrize("opened", ALL)
def test_a_plate_leads_to_its_car(session: Session, owner: Actor, now: datetime, opened: Opens) -> None:
    car = make_vehicle(session, make_customer(session))
    job = opened(session, owner, now, car.plate.lower())
    assert (job.customer_id, job.vehicle_id) == (car.customer_id, car.id)
    assert len(session.scalars(select(Vehicle)).all()) == 1

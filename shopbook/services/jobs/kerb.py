"""A job from a look at the car: whoever it is and whatever car is found or added, then the damage and its plan."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.customers import find_by_phone, find_vehicle_by_plate, get_customer, get_vehicle
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.shop.days import day_of
from shopbook.services.customers import add_customer, add_vehicle
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.jobs import open_job, plan_days
from shopbook.services.jobs.plans import draft_plan
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages
from shopbook.trade.search_keys import phone_keys, plate_key
from shopbook.trade.who import Who, read_who

Whose = tuple[int | None, int | None]
"""A customer and a car of the book, by id, that the desk pointed at; either may be None."""


def find_or_add_who(
    session: Session,
    actor: Actor,
    now: datetime,
    typed: str,
    *,
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
) -> tuple[Customer | None, Vehicle | None]:
    """Whose car it is and which, from one box; a known phone or plate leads to who is known, else they are added.

    `car` and `plate` say which car, where the box does not. With `whose` the box is not read. RuleBroken for an empty
    box.
    """
    if whose is not None:
        return _pointed_at(session, actor, now, whose, car, plate)
    who = read_who(typed)
    if who == Who():
        raise RuleBroken("Type a name, a phone number or a plate: one is enough.", "who")
    known = find_vehicle_by_plate(session, [plate_key(who.plate)]) if who.plate else None
    if known is not None:
        return (session.get(Customer, known.customer_id) if known.customer_id else None), known
    customer = _person(session, actor, now, who)
    return customer, _car_of(session, actor, now, customer, car, who.plate or plate)


def _pointed_at(
    session: Session, actor: Actor, now: datetime, whose: Whose, car: str, plate: str
) -> tuple[Customer | None, Vehicle | None]:
    customer = get_customer(session, whose[0]) if whose[0] else None
    if whose[1]:
        return customer, get_vehicle(session, whose[1])
    return customer, _car_of(session, actor, now, customer, car, plate)


def _car_of(
    session: Session, actor: Actor, now: datetime, customer: Customer | None, car: str, plate: str
) -> Vehicle | None:
    """The car of that plate if it is the customer's or nobody's, else a new one; None when nothing says which."""
    if not plate.strip() and not car.strip():
        return None
    owner_id = customer.id if customer else None
    known = find_vehicle_by_plate(session, [plate_key(plate)]) if plate_key(plate) else None
    if known is not None and known.customer_id in (None, owner_id):
        return known
    return add_vehicle(session, actor, now, customer_id=owner_id, plate=plate.strip(), description=car.strip())


def _person(session: Session, actor: Actor, now: datetime, who: Who) -> Customer | None:
    whole = max(phone_keys(who.phone), key=len, default="")
    known = find_by_phone(session, [whole]) if whole else None
    if known is not None:
        return known
    if not who.name and not who.phone:
        return None
    return add_customer(session, actor, now, name=who.name, phone=who.phone)


def book_car_in(
    session: Session,
    actor: Actor,
    now: datetime,
    *,
    wrong: str,
    payer_kind: str,
    purpose: str,
    who: str = "",
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
    drop_off_on: date | None = None,
    drop_off_half: str = "",
) -> Job:
    """A job for a car that is booked in: of `whose` (customer and vehicle by id), else of whoever `who` names."""
    customer, vehicle = find_or_add_who(session, actor, now, who, car=car, plate=plate, whose=whose)
    job = open_job(
        session,
        actor,
        now,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
        wrong=wrong,
        payer_kind=payer_kind,
        purpose=purpose,
    )
    if drop_off_on is not None:
        plan_days(session, actor, now, job.id, drop_off_on, drop_off_half, None, "")
    return job


def open_kerb_job(
    session: Session,
    actor: Actor,
    now: datetime,
    *,
    who: str,
    wrong: str,
    answers: Sequence[KerbAnswer],
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
    words: Mapping[str, str] | None = None,
) -> Job:
    """A job with the damage that was tapped and its drafted plan. `words` names panels that are not drawn; with `whose`
    the job is of a customer and a car of the book.

    RuleBroken without anybody, without a line of what is wrong, or without a panel.
    """
    if not answers:
        raise RuleBroken("Tap at least one panel.", "panels")
    customer, vehicle = find_or_add_who(session, actor, now, who, car=car, plate=plate, whose=whose)
    job = open_job(
        session,
        actor,
        now,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
        wrong=wrong,
        payer_kind=customer.kind if customer and customer.kind != "insurer" else "private",
    )
    for damage in kerb_damages(answers, catalogue_on(session, day_of(session, now))):
        add_damage(
            session,
            actor,
            now,
            job.id,
            panel=damage.panel,
            kind=damage.kind,
            size=damage.size,
            dent_count=damage.dent_count,
            dent_class_mm=damage.dent_class_mm,
            substrate=damage.substrate,
            is_paint_sound=damage.is_paint_sound,
            paint=damage.paint,
            panel_words=(words or {}).get(damage.panel, ""),
        )
    draft_plan(session, actor, now, job.id)
    return job

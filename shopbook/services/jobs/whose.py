"""Who brings a car and which car it is: found in the book or added, when a job is opened or later."""

from sqlalchemy import update

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.customers import find_by_phone, find_vehicle_by_plate, get_customer, get_vehicle
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle, erase_customer, give_customer
from shopbook.services.jobs.jobs import change_job
from shopbook.trade.errors import RuleBroken
from shopbook.trade.search_keys import plate_key
from shopbook.trade.who import Who, read_who

Whose = tuple[int | None, int | None]
"""A customer and a car of the book, by id, that the desk pointed at; either may be None."""


def find_or_add_who(
    act: Act,
    typed: str,
    *,
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
) -> tuple[Customer | None, Vehicle | None]:
    """Customer and car from one box; a known phone or plate finds who is in the book, else they are added.

    `car` and `plate` say which car, where the box does not. With `whose` the box is not read. RuleBroken for an empty
    box.
    """
    if whose is not None:
        return _pointed_at(act, whose, car, plate)
    who = read_who(typed)
    if who == Who():
        raise RuleBroken("Enter a name, a phone number or a {registration}. One is enough.", "who")
    known = find_vehicle_by_plate(act.session, [plate_key(who.plate)]) if who.plate else None
    if known is not None:
        return (act.session.get(Customer, known.customer_id) if known.customer_id else None), known
    customer = _person(act, who)
    return customer, _car_of(act, customer, car, who.plate or plate)


def _pointed_at(act: Act, whose: Whose, car: str, plate: str) -> tuple[Customer | None, Vehicle | None]:
    customer = get_customer(act.session, whose[0]) if whose[0] else None
    return customer, _car_pointed_at(act, whose[1], customer, car, plate)


def _car_pointed_at(
    act: Act, vehicle_id: int | None, customer: Customer | None, car: str, plate: str
) -> Vehicle | None:
    return get_vehicle(act.session, vehicle_id) if vehicle_id else _car_of(act, customer, car, plate)


def _car_of(act: Act, customer: Customer | None, car: str, plate: str) -> Vehicle | None:
    """The car of that plate if it is the customer's or nobody's, else a new one; None when nothing says which."""
    if not plate.strip() and not car.strip():
        return None
    owner_id = customer.id if customer else None
    known = find_vehicle_by_plate(act.session, [plate_key(plate)]) if plate_key(plate) else None
    if known is not None and known.customer_id in (None, owner_id):
        return known
    return add_vehicle(act, customer_id=owner_id, plate=plate.strip(), description=car.strip())


def _person(act: Act, who: Who) -> Customer | None:
    known = find_by_phone(act.session, who.phone)
    if known is not None:
        return known
    if not who.name and not who.phone:
        return None
    return add_customer(act, name=who.name, phone=who.phone)


def _owner(act: Act, customer_id: int | None, who: str) -> Customer | None:
    """Who was pointed at, else whoever was typed."""
    if customer_id:
        return get_customer(act.session, customer_id)
    return find_or_add_who(act, who)[0] if who.strip() else None


def name_who_and_car(
    act: Act,
    job_id: int,
    *,
    revision: int,
    who: str = "",
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
) -> Job:
    """Add what was not known when a job was opened: its customer, its car, or both. What it already has stays.

    A car without a customer becomes the customer's. RuleBroken when nothing new is given; Conflict when somebody else
    changed the job meanwhile.
    """
    job = get_job_by_id(act.session, job_id)
    owner_id, car_id = whose or (None, None)
    customer = job.customer or _owner(act, owner_id, who)
    vehicle = job.vehicle or _car_pointed_at(act, car_id, customer, car, plate)
    if (customer, vehicle) == (job.customer, job.vehicle):
        raise RuleBroken("Enter the customer or the car.", "who" if job.customer is None else "car")
    if customer is not None and vehicle is not None:
        give_customer(act, vehicle.id, customer.id)
    return change_job(
        act,
        job_id,
        revision=revision,
        wrong=job.wrong,
        payer_kind=job.payer_kind,
        purpose=job.purpose,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
    )


def erase_with_visits(act: Act, customer_id: int) -> None:
    """Erase a person from the book on request, with the names of those who collected their cars."""
    erase_customer(act, customer_id)
    act.session.execute(update(Job).where(Job.customer_id == customer_id).values(taken_by=""))

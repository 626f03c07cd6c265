"""Who brings a car and which car it is: found in the book or added, when a job is opened or later."""

from dataclasses import dataclass

from sqlalchemy import delete, update

from shopbook.models.customers import Customer, SearchKey, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.customers import find_by_phone, find_vehicle_by_plate, get_customer, get_vehicle, ids_of
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.customers import (
    add_customer,
    add_vehicle,
    ask_about_plate,
    change_vehicle,
    erase_customer,
    give_customer,
)
from shopbook.services.jobs.jobs import change_job
from shopbook.trade.car.same_car import SameCar
from shopbook.trade.errors import RuleBroken
from shopbook.trade.search_keys import plate_key
from shopbook.trade.who import Who, read_who


@dataclass(frozen=True, slots=True)
class TypedCar:
    """Which car it is, as typed; `same_car` answers whether it is the car that has the plate in the book."""

    words: str = ""
    plate: str = ""
    same_car: str = ""


Whose = tuple[int | None, int | None]
"""A customer and a car of the book, by id, that the desk pointed at; either may be None."""


def find_or_add_who(
    act: Act,
    typed: str,
    *,
    car: str = "",
    plate: str = "",
    same_car: str = "",
    whose: Whose | None = None,
) -> tuple[Customer | None, Vehicle | None]:
    """Customer and car from one box; a known phone or plate finds who is in the book, else they are added.

    `car` and `plate` say which car, where the box does not. With `whose` the box is not read. RuleBroken for an empty
    box, and (same_car) for a plate that somebody else's car has, until `same_car` says whether it is that car.
    """
    if whose is not None:
        return _pointed_at(act, whose, TypedCar(car, plate, same_car))
    who = read_who(typed)
    if who == Who():
        raise RuleBroken("Enter a name, a phone number or a {registration}. One is enough.", "who")
    known = find_vehicle_by_plate(act.session, [plate_key(who.plate)]) if who.plate else None
    if known is not None:
        return known.customer, known
    customer = _person(act, who)
    return customer, _car_of(act, customer, TypedCar(car, who.plate or plate, same_car))


def _pointed_at(act: Act, whose: Whose, car: TypedCar) -> tuple[Customer | None, Vehicle | None]:
    customer = get_customer(act.session, whose[0]) if whose[0] else None
    return customer, _car_pointed_at(act, whose[1], customer, car)


def _car_pointed_at(act: Act, vehicle_id: int | None, customer: Customer | None, car: TypedCar) -> Vehicle | None:
    return get_vehicle(act.session, vehicle_id) if vehicle_id else _car_of(act, customer, car)


def _car_of(act: Act, customer: Customer | None, car: TypedCar) -> Vehicle | None:
    """The car of that plate if it is the customer's, nobody's, or said to be the same one; else a new one.

    None when nothing says which.
    """
    if not car.plate.strip() and not car.words.strip():
        return None
    known = find_vehicle_by_plate(act.session, [plate_key(car.plate)]) if plate_key(car.plate) else None
    if known is not None and known.customer in (None, customer):
        return known
    if known is not None and car.same_car != SameCar.ANOTHER:
        return _same_car(act, known, customer, car)
    owner_id = customer.id if customer else None
    return add_vehicle(act, customer_id=owner_id, plate=car.plate.strip(), description=car.words.strip())


def _same_car(act: Act, known: Vehicle, customer: Customer | None, car: TypedCar) -> Vehicle:
    """The car of somebody else that is this customer's from now on; RuleBroken asks where it was not answered."""
    if car.same_car != SameCar.SAME:
        ask_about_plate(act.session, car.plate)
    owner_id = customer.id if customer else known.customer_id
    return change_vehicle(act, known.id, revision=known.revision, customer_id=owner_id)


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


def name_person(act: Act, typed: str) -> Customer:
    """The person of that name or phone number, found by the number or added; RuleBroken where no person was typed."""
    customer = _person(act, read_who(typed))
    if customer is None:
        raise RuleBroken("Enter a name or a phone number.", "who")
    return customer


def set_customer(act: Act, job: Job, customer: Customer) -> Job:
    """A job is another customer's from now on, and so is its car where it was the old one's or nobody's."""
    car = get_vehicle(act.session, job.vehicle_id) if job.vehicle_id else None
    if car is not None and car.customer in (None, job.customer):
        change_vehicle(act, car.id, revision=car.revision, customer_id=customer.id)
    job.customer_id, job.revision = customer.id, job.revision + 1
    act.session.execute(delete(SearchKey).where(SearchKey.job_id == job.id))
    keys = {"job_id": job.id, "vehicle_id": job.vehicle_id, "customer_id": customer.id}
    act.session.add(SearchKey(key=str(job.number), kind="job", **keys))
    # The new customer first: the row still holds the one that it was read with, and is read again.
    act.session.flush()
    act.session.expire(job, ["customer", "whose_id"])
    return get_job_by_id(act.session, job.id)


def name_who_and_car(
    act: Act,
    job_id: int,
    *,
    revision: int,
    who: str = "",
    car: str = "",
    plate: str = "",
    same_car: str = "",
    whose: Whose | None = None,
) -> Job:
    """Add what was not known when a job was opened: its customer, its car, or both. What it already has stays.

    A car without a customer becomes the customer's. RuleBroken when nothing new is given, or as `find_or_add_who` for
    a plate; Conflict when somebody else changed the job meanwhile.
    """
    job = get_job_by_id(act.session, job_id)
    owner_id, car_id = whose or (None, None)
    customer = job.customer or _owner(act, owner_id, who)
    vehicle = job.vehicle or _car_pointed_at(act, car_id, customer, TypedCar(car, plate, same_car))
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
    act.session.execute(update(Job).where(Job.customer_id.in_(ids_of([customer_id]))).values(taken_by=""))

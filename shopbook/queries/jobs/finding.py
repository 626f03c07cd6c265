"""What the search box finds, with the rows that it names."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import CompoundSelect, Select, func, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.customers import MOST_FOUND, ids_of, list_near, matches


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One line of the search's answer: a job with its car and customer, or a car with its owner, or a person."""

    job: Job | None
    vehicle: Vehicle | None
    customer: Customer | None

    def belongs_to(self, job: Job) -> bool:
        """Whether it is that job's own car or customer, and no other job."""
        is_car = self.vehicle is None or self.vehicle.id == job.vehicle_id
        is_customer = self.customer is None or (job.customer is not None and self.customer.id == job.customer.id)
        return self.job is None and is_car and is_customer


def list_found(session: Session, typed: str, *, sees_people: bool = True) -> list[FoundRow]:
    """Jobs, cars and people that match what was typed, newest first of all that do: 50 jobs, and 50 cars and people.

    The job of just that number stands before the others, then the cars in the shop whose key has it. Who does not see
    people finds jobs alone, and none by a phone number.
    """
    matched = matches(typed, with_phones=sees_people)
    if matched is None:
        return []
    rows = _rows(session, matched, sees_people=sees_people)
    by_key = list_by_key(session, typed)
    keyed = {job.id for job in by_key}
    jobs = by_key + [row.job for row in rows if row.job and row.job.id not in keyed]
    meant_first = sorted(jobs, key=lambda job: str(job.number) != typed.strip())
    return [FoundRow(job, job.vehicle, _known(job.customer)) for job in meant_first] + [
        row for row in rows if row.job is None
    ]


def list_close(session: Session, typed: str, *, sees_people: bool = True) -> list[FoundRow]:
    """The same for names, cars and plates that are one slip away from what was typed; asked where nothing else is."""
    near = list_near(session, typed)
    matched = matches(typed, near, with_phones=sees_people) if near else None
    return _rows(session, matched, sees_people=sees_people) if matched is not None else []


def list_by_key(session: Session, typed: str) -> list[Job]:
    """The jobs of cars in the shop whose key hangs at that number: "11" or "key 11"."""
    key = typed.strip().casefold().removeprefix("key ").strip()
    if not key:
        return []
    asked = select(Job).where(Job.handed_over_at.is_(None), Job.called_off_at.is_(None))
    asked = asked.where(func.lower(Job.key_number) == key)
    asked = asked.options(joinedload(Job.customer), joinedload(Job.vehicle))
    return list(session.scalars(asked.order_by(Job.id.desc()).limit(MOST_FOUND)))


def _rows(session: Session, matched: CompoundSelect[Any], *, sees_people: bool) -> list[FoundRow]:
    found = matched.cte("found").c
    vehicles = select(found.vehicle_id)
    people = select(found.customer_id).where(found.vehicle_id.is_(None))
    asked = select(Job).where(
        Job.id.in_(select(found.job_id)) | Job.vehicle_id.in_(vehicles) | Job.customer_id.in_(ids_of(people))
    )
    asked = asked.options(joinedload(Job.customer), joinedload(Job.vehicle))
    jobs = session.scalars(asked.order_by(Job.id.desc()).limit(MOST_FOUND))
    lines = [FoundRow(job, job.vehicle, _known(job.customer)) for job in jobs]
    return lines + (_cars_and_people(session, vehicles, people)[:MOST_FOUND] if sees_people else [])


def meant_job(found: list[FoundRow], typed: str) -> Job | None:
    """The job whose number was typed, where nothing was found but it, its car and its customer; else None."""
    first = found[0].job if found else None
    if first is None or str(first.number) != typed.strip():
        return None
    return first if all(row.belongs_to(first) for row in found[1:]) else None


def list_visits(
    session: Session, *, customer_id: int | None = None, vehicle_id: int | None = None, limit: int = 30
) -> list[Job]:
    """The jobs of a customer, or of one car whoever brought it; newest first, cars and customers loaded."""
    asked = select(Job).options(joinedload(Job.vehicle), joinedload(Job.customer))
    if vehicle_id is not None:
        asked = asked.where(Job.vehicle_id == vehicle_id)
    if customer_id is not None:
        asked = asked.where(Job.customer_id.in_(ids_of([customer_id])))
    return list(session.scalars(asked.order_by(Job.id.desc()).limit(limit)))


def _cars_and_people(session: Session, vehicles: Select[Any], people: Select[Any]) -> list[FoundRow]:
    asked = select(Vehicle).where(Vehicle.id.in_(vehicles)).options(joinedload(Vehicle.customer))
    named = select(Customer).where(Customer.id.in_(people), Customer.erased_at.is_(None))
    cars = session.scalars(asked.order_by(Vehicle.id.desc()).limit(MOST_FOUND))
    persons = session.scalars(named.order_by(Customer.id.desc()).limit(MOST_FOUND))
    return [FoundRow(None, car, _known(car.customer)) for car in cars] + [
        FoundRow(None, None, person) for person in persons
    ]


def _known(person: Customer | None) -> Customer | None:
    """Nobody where the person was erased."""
    return person if person is not None and person.erased_at is None else None

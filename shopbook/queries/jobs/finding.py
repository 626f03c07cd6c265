"""What the search box finds, with the rows that it names."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.base import Base
from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.customers import find_anything

Row = TypeVar("Row", bound=Base)


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One line of the search's answer: a job with its car and customer, or a car with its owner, or a person."""

    job: Job | None
    vehicle: Vehicle | None
    customer: Customer | None

    def belongs_to(self, job: Job) -> bool:
        """Whether it is that job's own car or customer, and no other job."""
        is_car = self.vehicle is None or self.vehicle.id == job.vehicle_id
        return self.job is None and is_car and (self.customer is None or self.customer.id == job.customer_id)


def list_found(session: Session, typed: str) -> list[FoundRow]:
    """Jobs, cars and people that match what was typed; at most 50 and their jobs, newest first.

    The job of just that number stands before the others.
    """
    hits = find_anything(session, typed)
    vehicles = {hit.vehicle_id for hit in hits if hit.vehicle_id}
    people = {hit.customer_id for hit in hits if hit.customer_id and not hit.vehicle_id}
    asked = select(Job).where(
        Job.id.in_([hit.job_id for hit in hits if hit.job_id])
        | Job.vehicle_id.in_(vehicles)
        | Job.customer_id.in_(people)
    )
    jobs = session.scalars(asked.order_by(Job.id.desc()).limit(50)).all()
    meant_first = sorted(jobs, key=lambda job: str(job.number) != typed.strip())
    return _in_order(session, meant_first, vehicles, people)


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
        asked = asked.where(Job.customer_id == customer_id)
    return list(session.scalars(asked.order_by(Job.id.desc()).limit(limit)))


def _in_order(session: Session, jobs: list[Job], vehicles: set[int], people: set[int]) -> list[FoundRow]:
    cars = _rows(session, Vehicle, [*vehicles, *(job.vehicle_id for job in jobs)])
    owners = [*(car.customer_id for car in cars.values()), *(job.customer_id for job in jobs)]
    known = _rows(session, Customer, [*people, *owners])
    persons = {key: one for key, one in known.items() if one.erased_at is None}
    lines = [FoundRow(job, cars.get(job.vehicle_id), persons.get(job.customer_id)) for job in jobs]
    lines += [FoundRow(None, cars[key], persons.get(cars[key].customer_id)) for key in sorted(vehicles, reverse=True)]
    lines += [FoundRow(None, None, persons[key]) for key in sorted(people, reverse=True) if key in persons]
    return lines


def _rows(session: Session, table: type[Row], keys: Iterable[int | None]) -> dict[int | None, Row]:
    wanted = sorted({key for key in keys if key})
    if not wanted:
        return {}
    column = table.__table__.c.id
    return {row.id: row for row in session.scalars(select(table).where(column.in_(wanted)))}  # type: ignore[attr-defined]

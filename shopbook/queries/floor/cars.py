"""The cars in the shop's hands, as the floor chooses among them."""

from dataclasses import dataclass

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.trade.car.words import car_words


@dataclass(frozen=True, slots=True)
class NamedCar:
    """One job's car: "1042 blue hatchback, KTR 204"."""

    job_id: int
    number: int
    words: str


def list_cars(session: Session) -> list[NamedCar]:
    """Jobs whose car came or was begun and has not gone, by number; one statement."""
    jobs = session.scalars(
        select(Job)
        .where(
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            or_(Job.came_at.is_not(None), Job.begun_at.is_not(None)),
        )
        .options(joinedload(Job.vehicle))
        .order_by(Job.number)
    )
    return [NamedCar(job.id, job.number, f"{job.number} {car_line(job)}".strip()) for job in jobs]


def car_line(job: Job) -> str:
    """A job's car in a line: "blue hatchback, KTR 204"; what is wrong with it where no car is known."""
    if job.vehicle is None:
        return job.wrong[:60]
    return car_words(None, job.vehicle.description, job.vehicle.colour_name, job.vehicle.plate)

"""The sample job of a new book: made once at the first run, thrown away with one press."""

from collections.abc import Sequence

from sqlalchemy import ColumnElement, Table, delete, or_, select
from sqlalchemy.orm import Session

from shopbook.models.base import Base
from shopbook.models.customers import Customer, SearchKey, Vehicle
from shopbook.models.guards import LEDGERS
from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import find_sample
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import open_job
from shopbook.services.postings import write_log
from shopbook.trade.errors import NotFound
from shopbook.trade.planning.shapes import DamageKind, DepthStep, PaintChoice, SizeStep, Substrate


def make_sample_job(act: Act) -> Job:
    """A job to look at and press on: an invented car with a dented door and wing, its plan drafted."""
    customer = add_customer(act, name="Sample customer", note="Part of the sample; throw it away.")
    vehicle = add_vehicle(
        act,
        customer_id=customer.id,
        plate="SAMPLE 1",
        year=2016,
        description="hatchback",
        colour_name="blue",
        colour_hex="#2f5f9b",
        finish="metallic",
    )
    job = open_job(
        act,
        customer_id=customer.id,
        vehicle_id=vehicle.id,
        wrong="Sample: a post in a car park, front door and wing",
        is_sample=True,
    )
    steel = {"substrate": Substrate.STEEL, "paint": PaintChoice.PAINT}
    add_damage(
        act,
        job.id,
        panel="right_front_door",
        kind=DamageKind.CREASE,
        size=SizeStep.M,
        depth=DepthStep.FINGER,
        **steel,
    )
    add_damage(act, job.id, panel="right_front_wing", kind=DamageKind.SCRATCH, size=SizeStep.S, **steel)
    draft_plan(act, job.id)
    return job


def throw_sample_away(act: Act) -> None:
    """Delete the sample job and all that hangs on it. NotFound when there is none.

    Once somebody clocked on it, took stock for it or issued a paper, ledger lines know it: then it is called off and
    shown nowhere any more.
    """
    job = find_sample(act.session)
    if job is None:
        raise NotFound("There is no sample in this book.")
    job_id, vehicle_id, customer_id = job.id, job.vehicle_id, job.customer_id
    # What hangs on the job is looked for in the book: a row not written yet would be missed.
    act.session.flush()
    hanging = _hanging(act.session, job)
    if any(table.name in LEDGERS for table, _ in hanging):
        job.called_off_at, job.called_off_why = act.moment, "sample"
        act.session.execute(delete(SearchKey).where(SearchKey.job_id == job.id))
        write_log(act, "throw_sample_away", "job", job_id, "Put the sample out of sight")
        return
    act.session.expunge_all()
    for table, condition in reversed(hanging):
        act.session.execute(delete(table).where(condition))
    _delete_customer(act.session, vehicle_id, customer_id)
    write_log(act, "throw_sample_away", "job", job_id, "Threw the sample away")
    act.session.flush()


def _hanging(session: Session, job: Job) -> Sequence[tuple[Table, ColumnElement[bool]]]:
    """Every table with rows that hang on the job, parents first, each with the condition that finds them."""
    found: dict[Table, list[int]] = {}
    rows: list[tuple[Table, ColumnElement[bool]]] = []
    for table in _parents_first():
        if table is Job.__table__:
            condition: ColumnElement[bool] | None = table.c.id == job.id
        else:
            condition = _hangs(table, found)
        if condition is None or session.execute(select(table).where(condition).limit(1)).first() is None:
            continue
        rows.append((table, condition))
        if "id" in table.c:
            found[table] = list(session.scalars(select(table.c.id).where(condition)))
    return rows


def _parents_first() -> Sequence[Table]:
    return [table for table in Base.metadata.sorted_tables if table.name not in {"book", "person"}]


def _hangs(table: Table, found: dict[Table, list[int]]) -> ColumnElement[bool] | None:
    conditions = [
        key.parent.in_(found[key.column.table])
        for key in table.foreign_keys
        if key.column.table in found and key.column.table is not table
    ]
    return or_(*conditions) if conditions else None


def _delete_customer(session: Session, vehicle_id: int | None, customer_id: int | None) -> None:
    """The sample's car and customer go too, unless another job came to lean on them."""
    others = select(Job.id).where(or_(Job.vehicle_id == vehicle_id, Job.customer_id == customer_id)).limit(1)
    if session.scalar(others) is not None:
        return
    session.execute(
        delete(SearchKey).where(or_(SearchKey.vehicle_id == vehicle_id, SearchKey.customer_id == customer_id))
    )
    session.execute(delete(Vehicle).where(Vehicle.id == vehicle_id))
    session.execute(delete(Customer).where(Customer.id == customer_id))

"""The rows of jobs, of what was clocked on them and bought for them, and of work in progress."""

from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from shopbook.models.customers import Vehicle
from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.shelf import Supplier
from shopbook.models.shop import Person
from shopbook.queries.reports.accountant.reading import AnySelect, FlatValues, of_customer, read_rows
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.work_in_progress import follow_jobs, read_work
from shopbook.queries.shop.book import get_zone
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds, month_of

_MOMENTS = ("approved_on", "begun_on", "ready_on", "cancelled_on")


def list_flat_jobs(session: Session, last: date) -> Iterator[FlatValues]:
    """Jobs opened up to a day, as they stood when it ended; one statement and the book.

    Opened Nov 3, ready Nov 28, handed over Dec 2: as of Nov 30 its last day is empty.
    """
    zone = get_zone(session)
    for row in read_rows(session, _jobs(last)):
        days = {name: _by(_day(row[name], zone), last) for name in _MOMENTS}
        why = row["cancelled_why"] if days["cancelled_on"] else ""
        yield {**row, **days, "handed_over_on": _by(row["handed_over_on"], last), "cancelled_why": why}


def _jobs(last: date) -> AnySelect:
    asked = (
        select(
            Job.id.label("job_id"),
            Job.number.label("job_number"),
            *(Job.purpose, Job.payer_kind, Vehicle.plate, Vehicle.description.label("car")),
            Job.comeback_of_id.label("comeback_of_job_id"),
            *(Job.opened_on, Job.handed_over_on, Job.is_sample),
            Job.agreed_at.label("approved_on"),
            Job.begun_at.label("begun_on"),
            Job.ready_at.label("ready_on"),
            Job.called_off_at.label("cancelled_on"),
            Job.called_off_why.label("cancelled_why"),
        )
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Job.opened_on <= last)
    )
    return of_customer(asked, Job.customer_id).order_by(Job.id)


def _day(moment: datetime | None, zone: ZoneInfo) -> date | None:
    return moment.astimezone(zone).date() if moment else None


def _by(day: date | None, last: date) -> date | None:
    """The day, where it had come by the last one."""
    return day if day is not None and day <= last else None


def list_flat_clock_shares(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """What was clocked on stages on these days; one statement."""
    asked = (
        select(
            ClockShare.id.label("share_id"),
            *(ClockShare.entry_id, ClockEntry.on, ClockEntry.person_id, ClockShare.job_id, ClockShare.stage_id),
            Person.name.label("person"),
            Job.number.label("job_number"),
            Job.purpose.label("job_purpose"),
            Stage.name.label("stage"),
            Stage.purpose.label("stage_purpose"),
            *(Stage.skill, ClockShare.minutes),
            ClockShare.cost_minor.label("cost"),
            ClockEntry.reverses_id.label("reverses_entry_id"),
        )
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Person, Person.id == ClockEntry.person_id)
        .join(Job, Job.id == ClockShare.job_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .where(ClockEntry.on.between(first, last))
    )
    return read_rows(session, asked.order_by(ClockEntry.on, ClockEntry.id, ClockShare.id))


def list_flat_bought(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """What came for jobs on these days, and with the sign turned what was sent back; one statement and the book.

    80.00 come on Oct 30 and sent back on Nov 5: of November one row, −80.00.
    """
    zone = get_zone(session)
    for row in read_rows(session, _bought(first, last)):
        sent_back_on = _day(row["sent_back_at"], zone)
        for event, on, cost in (("came", row["came_on"], row["cost"]), ("sent_back", sent_back_on, -row["cost"])):
            if on is not None and first <= on <= last:
                yield {**row, "event": event, "on": on, "cost": cost}


def _bought(first: date, last: date) -> AnySelect:
    return (
        select(
            JobPart.id.label("part_id"),
            *(JobPart.came_on, JobPart.sent_back_at, JobPart.job_id, JobPart.kind, JobPart.name),
            Job.number.label("job_number"),
            Job.purpose.label("job_purpose"),
            Supplier.name.label("supplier"),
            JobPart.cost_minor.label("cost"),
        )
        .join(Job, Job.id == JobPart.job_id)
        .outerjoin(Supplier, Supplier.id == JobPart.supplier_id)
        .where(JobPart.came_on <= last, or_(JobPart.came_on >= first, JobPart.sent_back_at.is_not(None)))
        .order_by(JobPart.id)
    )


def list_flat_work(shop: ShopOn) -> Iterator[FlatValues]:
    """Jobs that were not invoiced when the shop's day ended, at cost; a fixed number of statements."""
    first, last = month_bounds(month_of(shop.day))[0], shop.day
    followed = follow_jobs(read_cars(shop, first, last), first, last)
    work = read_work(shop, followed)
    for number, job in work.jobs.items():
        if job.closing_minor or job.is_finished:
            yield {
                "job_id": followed.ids[number],
                "job_number": int(number),
                "before": job.opening_minor + job.changed_minor,
                "added": job.added.total_minor,
                "cost": job.closing_minor,
                "is_finished": job.is_finished,
                "to_bill": work.to_bill.get(number),
            }

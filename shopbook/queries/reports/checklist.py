"""What to settle before a month is closed."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Select, exists, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.money import Invoice
from shopbook.models.shelf import Material
from shopbook.models.shop import DatedTaxRate, Person, PersonCost
from shopbook.queries.floor.clocks import list_running
from shopbook.queries.floor.entries import list_unagreed_work
from shopbook.queries.floor.hours import list_unplaced_days, newest_unplaced
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.days import month_bounds

_IS_INVOICE = (Invoice.job_id == Job.id, Invoice.kind == "invoice")


@dataclass(frozen=True, slots=True)
class ToSee:
    """One thing to settle: its words, what it is about, and where to settle it (an endpoint with its values)."""

    words: str
    below: str
    endpoint: str
    values: dict[str, str | int]
    press: str


def list_to_see(session: Session, month: str, now: datetime, shop: ShopOn | None = None) -> list[ToSee]:
    """Hours to place, running clocks, missing hours and their cost, work not approved, papers and credits
    that are missing, doubtful stock; a fixed number of statements. `shop` is the shop at `now` where it is read."""
    first, last = month_bounds(month)
    return [
        *_hours(shop or shop_at(session, now), first, last, now),
        *_without_hours(session, first, last),
        *_without_cost(session, first, last),
        *_not_invoiced(session, last),
        *_sent_back(session, last),
        *(
            ToSee("Work not approved", f"job {row.number}, {row.stage}", "jobs.show", {"number": row.number}, "Open")
            for row in list_unagreed_work(session)
        ),
        *_stock(session),
        *_taxes(session),
    ]


def _hours(shop: ShopOn, first: date, last: date, now: datetime) -> list[ToSee]:
    unplaced = [
        ToSee(
            "Hours to place",
            f"{row.name}, {row.more_days + 1} day{'s' if row.more_days else ''}, total {to_tenths(row.all_minutes)}",
            "floor.day",
            {"person": row.person_id, "on": row.on.isoformat()},
            "Place hours",
        )
        for row in newest_unplaced(day for day in list_unplaced_days(shop, now, days=62) if first <= day.on <= last)
    ]
    running = [
        ToSee("Clock still running", shop.person_names.get(clock.person_id, ""), "floor.work", {}, "Open")
        for clock in list_running(shop.session)
        if clock.started_at.date() <= last
    ]
    return unplaced + running


def _without_hours(session: Session, first: date, last: date) -> list[ToSee]:
    """Jobs with a plan that were invoiced in the month with no hours clocked: work that seems to be free."""
    asked = select(Job.number).where(
        exists().where(*_IS_INVOICE, Invoice.issued_on.between(first, last)),
        ~Job.is_sample,
        exists().where(Stage.job_id == Job.id, Stage.struck_at.is_(None)),
        ~exists().where(ClockShare.job_id == Job.id),
    )
    return _jobs(session, "Invoiced, but no hours on it", asked)


def _without_cost(session: Session, first: date, last: date) -> list[ToSee]:
    """People who worked in the month and have no cost per hour; zero is a cost, once it is set."""
    people = session.execute(
        select(Person.id, Person.name)
        .where(
            exists().where(ClockEntry.person_id == Person.id, ClockEntry.on.between(first, last)),
            ~exists().where(PersonCost.person_id == Person.id, PersonCost.from_on <= last),
        )
        .order_by(Person.name)
    )
    return [ToSee("No cost per hour yet", name, "shop.person", {"person_id": key}, "Set cost") for key, name in people]


def _not_invoiced(session: Session, last: date) -> list[ToSee]:
    asked = select(Job.number).where(
        Job.handed_over_on <= last,
        Job.settled_at.is_(None),
        Job.purpose == "paid",
        ~Job.is_sample,
        ~exists().where(*_IS_INVOICE),
    )
    return _jobs(session, "Handed over, not invoiced", asked)


def _jobs(session: Session, words: str, asked: Select[int]) -> list[ToSee]:
    """A line for each job number asked for, leading to its page."""
    numbers = session.scalars(asked.order_by(Job.number))
    return [ToSee(words, f"job {number}", "jobs.show", {"number": number}, "Open") for number in numbers]


def _sent_back(session: Session, last: date) -> list[ToSee]:
    rows = session.execute(
        select(Job.number, JobPart.name)
        .join(Job, Job.id == JobPart.job_id)
        .where(JobPart.sent_back_at.is_not(None), JobPart.credit_came_at.is_(None), JobPart.came_on <= last)
        .order_by(Job.number)
    )
    return [
        ToSee("Part sent back, no credit yet", f"job {number}, {name}", "jobs.show", {"number": number}, "Open")
        for number, name in rows
    ]


def _stock(session: Session) -> list[ToSee]:
    rows = session.execute(
        select(Material.id, Material.name).where(Material.needs_count, Material.is_active).order_by(Material.name)
    )
    return [
        ToSee("You used more than the book says you had", name, "shelf.material", {"material_id": key}, "Count")
        for key, name in rows
    ]


def _taxes(session: Session) -> list[ToSee]:
    is_guess = session.scalar(select(exists().where(~DatedTaxRate.is_confirmed)))
    later = session.scalar(select(exists().where(DatedTaxRate.is_confirmed)))
    if not is_guess or later:
        return []
    return [ToSee("Tax rates are still our guess", "ask your accountant, then confirm", "shop.taxes", {}, "Confirm")]

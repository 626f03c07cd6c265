"""What to settle before a month is closed: what was so on its last day and is so still."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy import Select, exists, func, or_, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.money import Invoice
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import DatedTaxRate, Person, PersonCost
from shopbook.queries.floor.clocks import list_running
from shopbook.queries.floor.entries import list_unagreed_work
from shopbook.queries.floor.hours import list_unplaced_days, newest_unplaced
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.days import month_bounds, month_name, month_of
from shopbook.trade.purposes import JobPurpose

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
    """Hours to place, running clocks, missing hours and their cost, work not approved, papers and credits that are
    missing, doubtful stock; a fixed number of statements. `shop` is the shop at `now` where it is read.

    What began after the month's last day belongs to the next one, and what was put right since is left out: clips at
    −9 on November 30 stay until they are counted, a car that left on December 2 is not named.
    """
    first, last = month_bounds(month)
    shop = shop or shop_at(session, now)
    return [
        *_hours(shop, first, last, now),
        *_without_hours(session, first, last),
        *_without_cost(session, first, last),
        *_not_invoiced(shop, last),
        *_sent_back(session, _ends(shop, last)),
        *(
            ToSee("Work not approved", f"job {row.number}, {row.stage}", "jobs.show", {"number": row.number}, "Open")
            for row in list_unagreed_work(session, last)
        ),
        *_stock(session, last),
        *_taxes(session),
    ]


def _ends(shop: ShopOn, last: date) -> datetime:
    """The moment at which the month was over in the shop."""
    return datetime.combine(last + timedelta(days=1), time(), shop.zone)


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
        if shop.day_of(clock.started_at) <= last
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


def _not_invoiced(shop: ShopOn, last: date) -> list[ToSee]:
    """Paying jobs that were ready or handed over by the last day, and of which there is no invoice yet."""
    asked = select(Job.number, Job.handed_over_on).where(
        or_(Job.handed_over_on <= last, Job.ready_at < _ends(shop, last)),
        Job.settled_at.is_(None),
        Job.called_off_at.is_(None),
        Job.purpose == JobPurpose.PAID,
        ~Job.is_sample,
        ~exists().where(*_IS_INVOICE),
    )
    counts_in = f", invoiced now it counts in {month_name(month_of(shop.day))}" if shop.day > last else ""
    return [
        ToSee(
            "Handed over, not invoiced" if gone_on and gone_on <= last else "Finished, not invoiced",
            f"job {number}{counts_in}",
            "money.invoice_preview",
            {"number": number},
            "Write invoice",
        )
        for number, gone_on in shop.session.execute(asked.order_by(Job.number))
    ]


def _jobs(session: Session, words: str, asked: Select[int]) -> list[ToSee]:
    """A line for each job number asked for, leading to its page."""
    numbers = session.scalars(asked.order_by(Job.number))
    return [ToSee(words, f"job {number}", "jobs.show", {"number": number}, "Open") for number in numbers]


def _sent_back(session: Session, until: datetime) -> list[ToSee]:
    rows = session.execute(
        select(Job.number, JobPart.name)
        .join(Job, Job.id == JobPart.job_id)
        .where(JobPart.sent_back_at < until, JobPart.credit_came_at.is_(None))
        .order_by(Job.number)
    )
    return [
        ToSee("Part sent back, no credit yet", f"job {number}, {name}", "jobs.show", {"number": number}, "Open")
        for number, name in rows
    ]


def _stock(session: Session, last: date) -> list[ToSee]:
    """Materials to count that were below zero on the last day, or have not moved since."""
    since = (
        select(Movement.material_id, func.sum(Movement.quantity_thousandths).label("quantity"))
        .where(Movement.on > last)
        .group_by(Movement.material_id)
        .subquery()
    )
    rows = session.execute(
        select(Material.id, Material.name)
        .outerjoin(since, since.c.material_id == Material.id)
        .where(Material.needs_count, Material.is_active)
        .where(or_(since.c.quantity.is_(None), Material.on_hand_thousandths - since.c.quantity < 0))
        .order_by(Material.name)
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

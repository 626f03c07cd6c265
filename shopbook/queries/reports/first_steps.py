"""The first steps of a new book, and which of them are done."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.shelf import Delivery, StockCount
from shopbook.models.shop import LogLine
from shopbook.queries.reports.today import Today
from shopbook.queries.shop.people import list_devices
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.countries import TaxAsks


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """What a new shop does once, and whether it did: read from what stands in the book, ticked by nobody.

    Tax: a rate stands, or the country asks for none. Prices: one is the shop's own. People: two who work here. Phone: a
    device stays signed in. Shelf: a count or a delivery. Numbers: somebody said what the last old ones were.
    """

    tax: bool
    prices: bool
    people: bool
    phone: bool
    shelf: bool
    numbers: bool


def read_first_steps(shop: ShopOn) -> FirstSteps:
    """Which of the first steps are done; a fixed number of statements."""
    session = shop.session
    numbered = select(LogLine.id).where(
        LogLine.subject == "book", LogLine.subject_id == 1, LogLine.act == "set_numbers"
    )
    return FirstSteps(
        tax=shop.country.tax_asks is TaxAsks.NOTHING or bool(shop.taxes),
        prices=any(price.set_minor for price in shop.catalogue.prices.values()),
        people=sum(person.is_active for person, _ in shop.staff) > 1,
        phone=bool(list_devices(session)),
        shelf=any(session.scalar(select(table.id).limit(1)) is not None for table in (StockCount, Delivery)),
        numbers=session.scalar(numbered.limit(1)) is not None,
    )


def is_new(session: Session, today: Today) -> bool:
    """Whether nothing stands on the page of the day because the book never had a job but its sample.

    Asked of the book only when the page is empty, so that a day with a car on it costs no statement.
    """
    if today.cars or today.debts or today.asked or today.found or today.missing or today.unplaced or today.late_clocks:
        return False
    # At most one of two is the sample.
    return all(is_sample for _, is_sample in session.execute(select(Job.id, Job.is_sample).limit(2)))

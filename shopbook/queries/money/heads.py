"""The head of every paper of a job: the shop, the customer, the car, how amounts are written."""

from decimal import Decimal
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.models.shop import Book
from shopbook.queries.customers import name_on_papers
from shopbook.queries.money.words import Wording, get_wording
from shopbook.queries.shop.book import get_units
from shopbook.trade.car.words import car_words
from shopbook.trade.countries import Country
from shopbook.trade.measures.locales import write_number
from shopbook.trade.measures.units import Kind, Unit

NO_NAME = "Customer"
"""What a paper calls a customer whom it does not name."""


def get_head(session: Session, job: Job) -> dict[str, Any]:
    """The head as plain values, so that an issued paper can keep them as they were printed."""
    said, car = get_wording(session), job.vehicle
    return _head(said, job.customer) | {
        "car": car_words(car.year, car.description, car.colour_name) if car else "",
        "car_lines": _car_lines(car, _odometer(session, job), said.country) if car else [],
        "car_hex": job.colour_hex,
        "job": job.number,
    }


def get_payer_head(session: Session, payer: Customer) -> dict[str, Any]:
    """The head of a paper that is about a payer, and no one car."""
    return _head(get_wording(session), payer) | {"car": "", "car_lines": [], "car_hex": ""}


def _head(said: Wording, customer: Customer | None) -> dict[str, Any]:
    book, country = said.book, said.country
    return {
        "shop": book.shop_name,
        "shop_lines": _shop_lines(book, country),
        "to": _name(customer),
        "to_lines": _customer_lines(customer, country.tax_number_word),
        "sign": country.currency_symbol,
        "places": country.currency_places,
        "locale": country.locale,
        "paper_size": book.paper_size,
        "tax_word": country.tax_word,
        "labour_word": country.word("Labour"),
        "is_tax_invoice": book.is_tax_invoice,
        "pay_to": book.pay_to,
        "number_prefix": book.number_prefix,
    }


def _shop_lines(book: Book, country: Country) -> list[str]:
    address = ", ".join(part.strip() for part in book.address.splitlines() if part.strip())
    reach = " · ".join(part for part in (address, book.phone, book.mail) if part)
    tax_number = f"{country.tax_number_word} {book.tax_number}" if book.tax_number else ""
    registered = f"{country.registration_word} {book.registration_number}" if book.registration_number else ""
    return [part for part in (reach, tax_number, registered.strip()) if part]


def _name(customer: Customer | None) -> str:
    is_known = customer is not None and customer.erased_at is None
    return name_on_papers(customer) if customer and is_known else NO_NAME


def _customer_lines(customer: Customer | None, tax_number_word: str) -> list[str]:
    if customer is None or customer.erased_at is not None:
        return []
    address = [part.strip() for part in customer.address.splitlines()]
    number = f"{tax_number_word} {customer.tax_number}" if customer.tax_number else ""
    return [part for part in (*address, customer.phone if customer.name else "", number) if part]


def _car_lines(car: Vehicle, odometer: str, country: Country) -> list[str]:
    plate = f"{country.word('registration')} {car.plate}" if car.plate else ""
    marks = (plate, f"VIN ends {car.vin[-6:]}" if car.vin else "")
    return [part for part in (" · ".join(mark for mark in marks if mark), odometer) if part]


def _odometer(session: Session, job: Job) -> str:
    units = get_units(session)
    unit = units.shown(Kind.DISTANCE)
    said = write_number(Decimal(job.odometer or 0), 0, units.locale)
    return f"{said} {'miles' if unit is Unit.MILE else unit}" if job.odometer else ""

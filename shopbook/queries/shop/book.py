"""The book's one row, its units, places, closed days, numbers and papers."""

from datetime import date
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import Book, ClosedDay, NumberCounter, Paper, Place
from shopbook.trade.countries import Country, country_in_book
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.units import MEASURES, Kind, Unit, UnitSystem


def find_book(session: Session) -> Book | None:
    """The book's row, or None before the first run has been answered."""
    book = session.get(Book, 1)
    # A session forgets a row that nobody holds, and a page asks for the shop's day a hundred times.
    session.info["book"] = book
    return book


def get_book(session: Session) -> Book:
    """The book's row; NotFound before the first run."""
    book = find_book(session)
    if book is None:
        raise NotFound("This book has not been started yet. Answer its three questions first.")
    return book


def country_of(book: Book) -> Country:
    """The country of a book: its words and dates, with amounts in the book's own currency and decimals."""
    return country_in_book(book.country, book.currency, book.currency_places)


def country_code_of(session: Session) -> str:
    """The code of the book's country; Britain's, whose words are the fallback, before the first run."""
    book = find_book(session)
    return book.country if book else "gb"


def get_zone(session: Session) -> ZoneInfo:
    """The shop's time zone."""
    return ZoneInfo(get_book(session).zone)


def get_units(session: Session) -> UnitSystem:
    """The units that the shop types and reads: its country's, where it chose no others."""
    return units_of(get_book(session))


def units_of(book: Book) -> UnitSystem:
    """The same, of the book's row; no statement."""
    country = country_of(book)
    words = dict(country.units) | book.units
    return UnitSystem(**{kind: _unit_of(kind, word) for kind, word in words.items()}, locale=country.locale)


def _unit_of(kind: str, word: str) -> Unit:
    for unit, measure in MEASURES.items():
        if unit.kind is Kind(kind) and (word == unit.value or word in measure.spellings):
            return unit
    raise NotFound(f"There is no unit called {word}.")


def list_last_numbers(session: Session) -> dict[str, int]:
    """The last number given in each series that never starts anew."""
    counters = session.scalars(select(NumberCounter).where(NumberCounter.year == 0))
    return {counter.series: counter.last_number for counter in counters}


def get_place(session: Session, place_id: int) -> Place:
    """One place; NotFound when there is none."""
    place = session.get(Place, place_id)
    if place is None:
        raise NotFound("That place is not in the book.")
    return place


def list_places(session: Session) -> list[Place]:
    """Bays and yard places in use, by name."""
    return list(session.scalars(select(Place).where(Place.is_active).order_by(Place.is_bay.desc(), Place.name)))


def list_closed_days(session: Session, first: date, last: date) -> list[ClosedDay]:
    """Closed days from `first` to `last`, both included."""
    return list(
        session.scalars(select(ClosedDay).where(ClosedDay.closed_on.between(first, last)).order_by(ClosedDay.closed_on))
    )


def closed_reasons(session: Session) -> dict[date, str]:
    """Every closed day of the book with the reason, oldest first; a dozen a year."""
    rows = session.execute(select(ClosedDay.closed_on, ClosedDay.why).order_by(ClosedDay.closed_on))
    return {closed_on: why for closed_on, why in rows}


def get_paper(session: Session, paper_id: int) -> Paper:
    """One issued paper; NotFound when there is none."""
    paper = session.get(Paper, paper_id)
    if paper is None:
        raise NotFound("That paper is not in the book.")
    return paper


def list_papers(session: Session, subject: str, subject_id: int) -> list[Paper]:
    """The papers issued for one thing, newest first."""
    return list(
        session.scalars(
            select(Paper).where(Paper.subject == subject, Paper.subject_id == subject_id).order_by(Paper.id.desc())
        )
    )

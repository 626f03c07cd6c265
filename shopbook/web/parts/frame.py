"""What every page is given: the book, the person, the places of the spine, today's words, amounts as text."""

from dataclasses import dataclass
from typing import Any

from flask import Flask, current_app, g, request, url_for

from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.days import day_of
from shopbook.trade.amounts import format_minor
from shopbook.trade.countries import Country, known_country
from shopbook.trade.days import day_words
from shopbook.web.parts.act import now, reader
from shopbook.web.parts.forms import csrf_token, make_act_key


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the spine."""

    label: str
    url: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Press:
    """The act fields of one press; each press on a page has a key of its own."""

    csrf_token: str
    act_key: str


PLACES = (
    ("Today", "reports.today", ("reports", "today")),
    ("Diary", "diary.week", ("diary", "see")),
    ("Jobs", "jobs.ledger", ("jobs", "see")),
    ("Floor", "floor.work", ("floor", "see")),
    ("Shelf", "shelf.materials", ("shelf", "see")),
    ("Money", "money.owed", ("money", "see")),
    ("Month end", "reports.month", ("reports", "month")),
)
"""Label, endpoint, what it needs; a place that a person may not open, or that is not built in, is not shown."""


def install(app: Flask) -> None:
    """Give every page its frame."""
    app.context_processor(_frame)


def country() -> Country:
    """The country of this book: its words for panels and tax, its currency and units."""
    if "country" not in g:
        book = find_book(reader())
        g.country = known_country(book.country if book else "us")
    return g.country  # type: ignore[no-any-return]


def money(minor: int, *, has_symbol: bool = True) -> str:
    """An amount of the book's currency as text."""
    here = country()
    return format_minor(minor, here.currency_places, here.currency_symbol if has_symbol else "")


def new_press() -> Press:
    """Act fields for one press."""
    return Press(csrf_token(), make_act_key())


def places() -> list[Place]:
    """The places of the spine that the person may open."""
    shown = []
    for label, endpoint, wanted in PLACES:
        if endpoint in current_app.view_functions and g.actor.may(*wanted):
            is_here = (request.blueprint or "") == endpoint.partition(".")[0] and _is_nearest(endpoint)
            shown.append(Place(label, url_for(endpoint), is_here))
    return shown


def _is_nearest(endpoint: str) -> bool:
    """Two places of one area: the one whose endpoint is asked for, else the first."""
    twins = [other for _, other, _ in PLACES if other.partition(".")[0] == endpoint.partition(".")[0]]
    return endpoint == (request.endpoint if request.endpoint in twins else twins[0])


def _frame() -> dict[str, Any]:
    if request.endpoint == "static" or "actor" not in g:
        return {}
    book = find_book(reader())
    return {
        "book": book,
        "person": g.actor if g.actor.person_id is not None else None,
        "places": places() if book else [],
        "day_words": day_words(day_of(reader(), now())) if book else "",
        "find_url": url_for("jobs.find") if "jobs.find" in current_app.view_functions else url_for("customers.find"),
        "account_url": url_for("shop.account"),
        "press_act": new_press,
        "money": money,
        "country": country() if book else None,
        "may": g.actor.may,
    }

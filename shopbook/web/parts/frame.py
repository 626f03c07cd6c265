"""What every page is given: the book, the person, the places of the spine, today's words, amounts as text."""

from dataclasses import dataclass
from datetime import date, datetime

from flask import Flask, g, request, url_for

from shopbook.queries.shop.book import find_book
from shopbook.trade.car import outline as car_outline
from shopbook.trade.car.damage import COAT_WORDS
from shopbook.trade.car.words import car_words, spoken_car
from shopbook.trade.countries import Country, TaxAsks, known_country
from shopbook.trade.floor.hours import sum_in_tenths, to_tenths
from shopbook.trade.measures.days import format_clock, format_day, format_moment, near_day_words
from shopbook.trade.measures.half_days import SHORT_HALVES, half_day_words
from shopbook.trade.measures.said_units import in_units
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import now, reader, shop_now, today
from shopbook.web.parts.forms import csrf_token, is_touched, make_act_key
from shopbook.web.parts.late import stamp_page
from shopbook.web.parts.rows import Job, Vehicle


@dataclass(frozen=True, slots=True)
class SpinePlace:
    """One place of the spine."""

    label: str
    url: str
    is_here: bool
    lies_below: bool = False
    """On a phone it stands under More."""


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
    ("Month end", "reports.months", ("reports", "month")),
    ("Settings", "shop.settings", ("shop", "set")),
)
"""Label, endpoint, permission; a place that a person may not open is not shown."""
BELOW = ("reports.months", "shop.settings")
STARTS = (
    ("Quick_estimate", "jobs.kerb", ("jobs", "change")),
    ("Book in a car", "jobs.book_in", ("jobs", "change")),
    ("Quick job", "money.quick", ("money", "change")),
)
"""What is begun from anywhere: a word of the country or a label, its page, permission."""


def install(app: Flask) -> None:
    """Give every page its frame."""
    app.context_processor(_frame)
    app.jinja_env.globals["car_outline"] = car_outline
    app.jinja_env.globals["is_touched"] = is_touched
    app.jinja_env.globals["has_left"] = has_left
    app.jinja_env.globals["coat_names"] = COAT_WORDS
    app.jinja_env.globals["word"] = word
    app.jinja_env.filters["said"] = said
    app.jinja_env.filters["measured"] = measured
    app.jinja_env.filters["hours"] = to_tenths
    app.jinja_env.filters["hour_figure"] = hour_figure
    app.jinja_env.globals["hour_sum"] = sum_in_tenths


def country() -> Country:
    """The country of this book: its words for panels, sides and tax, its currency and units."""
    return shop_now().country if find_book(reader()) else known_country("us")


def word(key: str) -> str:
    """What the country calls a thing that differs between countries."""
    return country().word(key)


def said(sentence: str) -> str:
    """A sentence of ours with its keys in the words of the country; one without keys needs no book to be read."""
    return country().say(sentence) if "{" in sentence else sentence


def measured(sentence: str) -> str:
    """A sentence of ours whose figures stand in stored units, in the units of the shop; what people typed is left."""
    return in_units(sentence, shop_now().units) if find_book(reader()) else sentence


def money(minor: int, *, has_symbol: bool = True) -> str:
    """An amount of the book's currency as text."""
    return country().money(minor, has_symbol=has_symbol)


def is_before_tax() -> bool:
    """Whether the shop still has to set its tax, so that no total can be given."""
    if country().tax_asks is TaxAsks.NOTHING:
        return False
    return not shop_now().taxes


def plus_tax() -> str:
    """What follows a sum until the shop has set its tax (", plus sales tax"); nothing where prices include it."""
    is_open = is_before_tax() and not shop_now().settings[SettingName.PRICES_HOLD_TAX]
    return f", plus {country().tax_word}" if is_open else ""


def hour_figure(minutes: int) -> str:
    """Minutes as hours with one decimal, the unit said elsewhere: 24 is "0.4"."""
    return to_tenths(minutes).removesuffix(" h")


def day_text(day: date, *, is_long: bool = False, with_weekday: bool = False) -> str:
    """A day as the shop's country writes it; the short form of a day of this year leaves the year unsaid."""
    this_year = None if is_long else today().year
    return format_day(day, country().date_form, is_long=is_long, with_weekday=with_weekday, this_year=this_year)


def day_of(moment: datetime) -> date:
    """The shop's day of a moment; a moment's own date is one of UTC."""
    return shop_now().day_of(moment)


def near_day(day: date) -> str:
    """A day in words near today: "today", "tomorrow", "Friday"."""
    return near_day_words(day, today(), country().date_form)


def near_moment(moment: datetime) -> str:
    """A moment in words near today: "Friday, 9:40 am"."""
    return f"{near_day(shop_now().day_of(moment))}, {clock_text(moment)}"


def clock_text(moment: datetime) -> str:
    """A moment's time of day at the shop."""
    return format_clock(moment, shop_now().book.zone, country().clock_form)


def moment_text(moment: datetime) -> str:
    """A moment's day and time at the shop, the day in its short form."""
    return f"{day_text(shop_now().day_of(moment))}, {clock_text(moment)}"


def whole_moment_text(moment: datetime) -> str:
    """The same for papers, which are read in other years too."""
    here = country()
    return format_moment(moment, shop_now().book.zone, here.date_form, here.clock_form)


def promise_text(job: Job) -> str:
    """The half-day for which a car is promised, near the shop's day; nothing without a promise."""
    if job.promise_on is None:
        return ""
    return half_day_words(job.promise_on, job.promise_half, shop_now().day, country().date_form)


def spoken_car_of(job: Job) -> str:
    """The car of a job as a text to its customer says it: "grey wagon"."""
    return spoken_car(job.vehicle.colour_name, job.vehicle.description) if job.vehicle else "car"


def car_text(car: Vehicle, *, with_plate: bool = False) -> str:
    """A car of the book in a line: "2017 hatchback, harbour blue"; with its plate where it is asked for."""
    return car_words(car.year, car.description, car.colour_name, car.plate if with_plate else "")


def has_left(job: Job) -> bool:
    """Whether a job is over for the desk: its car was handed over, or it was cancelled."""
    return bool(job.handed_over_at or job.called_off_at)


def new_press() -> Press:
    """Act fields for one press."""
    return Press(csrf_token(), make_act_key())


@dataclass(frozen=True, slots=True)
class GivenPage:
    """What press.js knows of the page: for whom it was drawn and when, signed, and the token of the sign-in.

    A page for nobody sends nothing.
    """

    person_id: int | None
    name: str
    stamp: str
    token: str
    is_owner: bool
    is_shared: bool
    """A device that stays signed in, where a PIN changes the person."""


def given_page() -> GivenPage:
    """The page of this request."""
    actor = g.actor
    stamp, token = (stamp_page(actor.person_id, now()), csrf_token()) if actor.person_id is not None else ("", "")
    return GivenPage(actor.person_id, actor.name, stamp, token, g.is_owner, g.device is not None)


def places() -> list[SpinePlace]:
    """The places of the spine that the person may open; the one that the page lies under is marked."""
    open_ones = [(label, endpoint, url_for(endpoint)) for label, endpoint, needed in PLACES if g.actor.may(*needed)]
    here = _place_here([(endpoint, url) for _, endpoint, url in open_ones])
    return [SpinePlace(label, url, endpoint == here, endpoint in BELOW) for label, endpoint, url in open_ones]


def _place_here(open_ones: list[tuple[str, str]]) -> str:
    """The place that the page lies under, by address, else by area; nothing for a page of none."""
    under = [(endpoint, url) for endpoint, url in open_ones if endpoint.partition(".")[0] == request.blueprint]
    named = max((endpoint for endpoint, url in under if request.path.startswith(url)), default="", key=len)
    return named or next((endpoint for endpoint, _ in under if endpoint not in BELOW), "")


def starts() -> list[tuple[str, str]]:
    """What the person may begin from any page, in the country's words, with its address."""
    begun = [(label, endpoint) for label, endpoint, needed in STARTS if g.actor.may(*needed)]
    return [(word(label) if "_" in label else label, url_for(endpoint)) for label, endpoint in begun]


def _frame() -> dict[str, object]:
    if request.endpoint == "static" or "actor" not in g:
        return {}
    book = find_book(reader())
    return {
        "book": book,
        "person": g.actor if g.actor.person_id is not None else None,
        "places": places() if book else [],
        "day_words": day_text(today(), is_long=True, with_weekday=True) if book else "",
        "find_url": url_for("jobs.find") if book and g.actor.may("jobs", "see") else None,
        "starts": starts,
        "account_url": url_for("shop.account"),
        "press_act": new_press,
        "given_page": given_page,
        "money": money,
        "is_before_tax": is_before_tax,
        "plus_tax": plus_tax,
        "car_text": car_text,
        "day_text": day_text,
        "day_of": day_of,
        "near_day": near_day,
        "near_moment": near_moment,
        "short_halves": SHORT_HALVES,
        "clock_text": clock_text,
        "moment_text": moment_text,
        "country": country() if book else None,
        "may": g.actor.may,
    }

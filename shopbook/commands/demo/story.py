"""The demo's story told day by day: the shop is set up, then all that is due is done until the present moment."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, time, timedelta
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shopbook.commands.demo.cars import keep_sketches
from shopbook.commands.demo.desk import Desk
from shopbook.commands.demo.floor import Floor
from shopbook.commands.demo.frame import DemoPerson, Frame, Row, Shop
from shopbook.commands.demo.house import set_house_costs
from shopbook.commands.demo.shelf import DemoShelf
from shopbook.config import Config
from shopbook.documents.month.kept import kept_paper
from shopbook.documents.month_end import make_month_pdf
from shopbook.outside.files import keep_bytes
from shopbook.outside.passwords import hash_password, hash_pin
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.people import find_person_named, get_actor
from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.services.act import Act
from shopbook.services.diary import add_absence
from shopbook.services.floor.troubles import settle_floor
from shopbook.services.money.close import close_month
from shopbook.services.shop.book import change_book
from shopbook.services.shop.papers import record_paper
from shopbook.services.shop.people import add_person, change_person, set_cost, set_pin
from shopbook.services.shop.rates import confirm_taxes
from shopbook.services.shop.start import FirstAnswers, start_book
from shopbook.services.shop.taxes import answer_sales_tax
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers
from shopbook.trade.countries import TaxAsks, known_country
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.web.reports.month_paper import compose_closing

_TAX = SalesTaxAnswers(8000, "", LabourTaxed.NO, GoodsTaxed.TO_CUSTOMER, is_priced_apart=True)
"""An invented rate of an invented place."""
_WORKING_DAYS = 127
_CLOSED_ON = 4
"""The working day of a month on which the month before it is closed."""


def choose_zone(moment: datetime, country: str) -> str:
    """The clock of the country at which the shop is open now, so that somebody is at work; else its usual one."""
    zones = known_country(country).zones
    return next((zone for zone in zones if 8 < moment.astimezone(ZoneInfo(zone)).hour < 16), zones[0])


def tell_story(
    session: Session,
    config: Config,
    moment: datetime,
    shop: Shop,
    rows: Sequence[Row],
    suppliers: Sequence[str],
    prices: Sequence[Sequence[str]],
) -> Iterator[Callable[[], None]]:
    """Everything in order, in portions of one working day; whoever asks does each inside a write of its own."""
    # Slow things first, outside any write.
    pictures = keep_sketches(config, rows)
    secret = config.read_secret()
    password_hash = hash_password(shop.password)
    hashes = {one.name: (password_hash, hash_pin(one.pin, secret)) for one in shop.people}
    frames: list[Frame] = []
    yield lambda: frames.append(_open_shop(session, config, moment, shop, hashes))
    frame = frames[0]

    def plan() -> None:
        floor = Floor(frame)
        DemoShelf(frame, suppliers, prices)
        Desk(frame, floor, rows, pictures)
        _plan_around(frame, floor)

    yield plan
    while frame.has_more():
        yield frame.do_next_day


def _open_shop(
    session: Session, config: Config, moment: datetime, shop: Shop, hashes: Mapping[str, tuple[str, str]]
) -> Frame:
    began = moment - timedelta(days=_WORKING_DAYS * 7 // 5 + 7)
    first = shop.people[0].name
    answers = FirstAnswers(
        shop.country,
        shop.name,
        shop.hour_minor,
        first,
        hashes[first][0],
        choose_zone(moment, shop.country),
        is_demo=True,
    )
    start_book(Act(session, THE_PROGRAM, began), answers)
    act = Act(session, THE_PROGRAM, began)
    if known_country(shop.country).tax_asks is TaxAsks.SALES_TAX:
        answer_sales_tax(act, _TAX)
    else:
        confirm_taxes(act, act.day)
    book = get_book(session)
    particulars = {
        "address": shop.address,
        "phone": shop.phone,
        "mail": "shop@example.com",
        "tax_number": shop.tax_number,
    }
    change_book(Act(session, THE_PROGRAM, began), revision=book.revision, units=book.units, **particulars)
    people = [_settle(session, began, one, *hashes[one.name]) for one in shop.people]
    today = day_of(session, moment)
    hours = opening_hours_on(session, today)
    # Before opening the last day of the story is the one before.
    days = [day for day in hours.working_days(day_of(session, began), today) if hours.moment(day, time(8)) <= moment]
    days = days[-_WORKING_DAYS:]
    set_house_costs(act, shop.country, people, days[0])
    return Frame(session, config, moment, hours, days, people, book)


def _settle(session: Session, began: datetime, one: DemoPerson, password_hash: str, pin_hash: str) -> Actor:
    """Somebody of the shop: the owner is there already, but works on no cars."""
    known = find_person_named(session, one.name)
    if known is None:
        given: dict[str, Any] = {"roles": one.roles, "skills": one.skills, "password_hash": password_hash}
        known = add_person(Act(session, THE_PROGRAM, began), name=one.name, **given)
    else:
        given = {"roles": one.roles, "skills": one.skills, "weekly_minutes": 2400, "is_active": True}
        change_person(Act(session, THE_PROGRAM, began), known.id, revision=known.revision, name=one.name, **given)
    set_pin(Act(session, THE_PROGRAM, began), known.id, pin_hash)
    set_cost(Act(session, THE_PROGRAM, began), known.id, one.cost_minor, FROM_THE_FIRST)
    session.flush()
    return get_actor(session, known.id)


def _plan_around(frame: Frame, floor: Floor) -> None:
    """Absences, an afternoon nobody pressed anything on, passed windows, closed months."""
    body, paint = frame.technicians
    begins = frame.at(frame.days[0], "7:40")
    for who, days_ago, many, why in ((paint, 46, 5, "time off"), (body, 28, 2, "sick"), (body, -4, 1, "training")):
        first, last = frame.day(days_ago), frame.day(days_ago - many + 1)
        given: dict[str, Any] = {"person_id": who.person_id or 0, "first": first, "last": last, "why": why}
        add_absence(Act(frame.session, frame.owner, begins), **given)
        floor.away |= {(who.name, day) for day in frame.hours.working_days(first, last)}
    away: dict[str, Any] = {"person_id": paint.person_id or 0, "first": frame.day(-2), "minutes_away": 240}
    add_absence(Act(frame.session, frame.owner, begins), why="dentist", **away)
    floor.forgets = {who.name: frame.day(1) for who in frame.technicians}
    for day in frame.days:
        frame.push(frame.at(day, "7:45"), lambda at: floor.settle(settle_floor(frame.session, at)))
    _plan_closes(frame)


def _plan_closes(frame: Frame) -> None:
    """Every month is closed on an early day of the next; the last one still waits for it."""
    this = month_of(frame.days[-1])
    for month in sorted({month_of(day) for day in frame.days} - {this, month_shifted(this, -1)}):
        after = [day for day in frame.days if day > month_bounds(month)[1]]
        frame.push(frame.at(after[_CLOSED_ON], "16:40"), partial(_close, frame, month))


def _close(frame: Frame, month: str, moment: datetime) -> None:
    session = frame.session
    paper, numbers = compose_closing(session, month, frame.hours.local_day(moment))
    kept = keep_bytes(frame.config.papers_folder, make_month_pdf(paper))
    act = Act(session, frame.owner, moment)
    closing = close_month(act, month, kept_paper(paper), numbers=numbers, sha256=kept.sha256)
    record_paper(
        session,
        moment,
        kind="month_end",
        subject="month_close",
        subject_id=closing.id,
        sha256=kept.sha256,
        size_bytes=kept.size_bytes,
        file_name=f"month-end-{month}.pdf",
    )

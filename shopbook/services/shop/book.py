"""The shop's own particulars, its places, its closed days, and where its numbers go on."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from zoneinfo import available_timezones

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from shopbook.models.shop import ClosedDay, Place
from shopbook.queries.shop.book import get_book, get_place
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, set_last_number, write_log
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import Conflict, RuleBroken

PARTICULARS = frozenset(
    {
        "shop_name",
        "address",
        "phone",
        "mail",
        "tax_number",
        "registration_number",
        "pay_to",
        "paper_size",
        "zone",
        "is_tax_invoice",
    }
)


def change_book(act: Act, *, revision: int, units: Mapping[str, str], **values: Any) -> None:
    """Change what is printed on every paper; `values` are names of PARTICULARS, `units` a unit's value by kind.

    Conflict when somebody else did meanwhile; RuleBroken for a shop without a name or a zone that is not known.
    """
    book = get_book(act.session)
    if set(values) - PARTICULARS:
        raise TypeError(f"unknown fields: {sorted(set(values) - PARTICULARS)}")
    if book.revision != revision:
        raise Conflict("Someone else changed this meanwhile. Check what is there now, then make your change again.")
    if not values.get("shop_name", book.shop_name).strip():
        raise RuleBroken("Enter the shop's name. It is printed on every paper.", "shop_name")
    if values.get("zone", book.zone) not in available_timezones():
        raise RuleBroken("We don't know that time zone. Enter one such as Europe/London.", "zone")
    for name, value in values.items():
        setattr(book, name, value)
    if book.units != units:
        book.units = dict(units)
    if not is_changed(act, book):
        return
    book.revision += 1
    write_log(act, "change_book", "book", book.id, "Changed the shop's details")


def add_place(act: Act, *, name: str, is_bay: bool) -> Place:
    """Another bay or parking place; RuleBroken for a name that is empty or in use."""
    place = Place(name=_free_place_name(act.session, name), is_bay=is_bay)
    act.session.add(place)
    act.session.flush()
    write_log(act, "add_place", "place", place.id, "Added a place")
    return place


def change_place(act: Act, place_id: int, *, name: str, is_bay: bool, is_active: bool) -> None:
    """Rename a place or take it out of use; cars that stand there keep it until they are moved."""
    place = get_place(act.session, place_id)
    place.name = _free_place_name(act.session, name, place.id)
    place.is_bay, place.is_active = is_bay, is_active
    if is_changed(act, place):
        write_log(act, "change_place", "place", place.id, "Changed a place")


def _free_place_name(session: Session, name: str, own_id: int | None = None) -> str:
    plain = " ".join(name.split())
    if not plain:
        raise RuleBroken("Enter a name, for example Bay 3.", "name")
    taken = session.scalar(select(Place.id).where(Place.name == plain, Place.is_active))
    if taken not in (None, own_id):
        raise RuleBroken("There is already a place with that name. Enter another.", "name")
    return plain


def close_days(act: Act, days: Mapping[date, str]) -> int:
    """Close the shop on these days, each with its reason; answers how many were not closed before."""
    known = set(act.session.scalars(select(ClosedDay.closed_on).where(ClosedDay.closed_on.in_(list(days)))))
    fresh = {day: why for day, why in days.items() if day not in known}
    act.session.add_all(ClosedDay(closed_on=day, why=why.strip()) for day, why in sorted(fresh.items()))
    if fresh:
        write_log(act, "close_days", "closed_day", None, f"Closed the shop on {len(fresh)} days")
    return len(fresh)


def open_day(act: Act, day: date) -> None:
    """Open again on a day that was closed besides the weekly hours."""
    act.session.execute(delete(ClosedDay).where(ClosedDay.closed_on == day))
    write_log(act, "open_day", "closed_day", None, f"Opened again on {day.isoformat()}")


def go_on_with_numbers(act: Act, last_numbers: Mapping[Series, int]) -> None:
    """Continue each series after the shop's last number; RuleBroken (field: the series) below it."""
    for series, last_number in last_numbers.items():
        try:
            set_last_number(act.session, series, last_number)
        except RuleBroken as broken:
            raise RuleBroken(broken.sentence, series) from broken
    write_log(act, "set_numbers", "book", 1, "Set the last numbers used")

"""Customers and vehicles, and what one search box finds."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, CompoundSelect, Select, cast, null, select, tuple_, union
from sqlalchemy.orm import Session, selectinload

from shopbook.models.customers import Customer, SearchKey, Vehicle, whole_of
from shopbook.trade.errors import NotFound
from shopbook.trade.near_spelling import near_words
from shopbook.trade.search_keys import asked_whole, asked_words, asked_year, phone_keys, plate_key

MOST_FOUND = 50
MOST_WORDS = 4
"""Words of a search that are looked for in near spelling."""
_WHOLE = {"plate", "vin", "phone", "job", "name"}
_NO_ROW = cast(null(), SearchKey.job_id.type)


@dataclass(frozen=True, slots=True)
class SearchHit:
    """What one row of the search answers: ids of what it names, None where it names none."""

    job_id: int | None
    vehicle_id: int | None
    customer_id: int | None


def get_customer(session: Session, customer_id: int) -> Customer:
    """One customer with vehicles loaded, of a merged one the first; NotFound when there is none or it was erased."""
    asked = select(Customer).where(Customer.id == whole_of(customer_id))
    customer = session.scalar(asked.options(selectinload(Customer.vehicles)))
    if customer is None or customer.erased_at is not None:
        raise NotFound("There is no such customer in the book.")
    return customer


def find_whole(session: Session, customer_id: int | None) -> Customer | None:
    """The customer that one is by now, of a merged one the first; None for nobody."""
    return session.scalar(select(Customer).where(Customer.id == whole_of(customer_id))) if customer_id else None


def ids_of(customer_ids: Collection[int] | Select[Any]) -> Select[Any]:
    """The ids that are one of these customers: their own, and those of all who were merged into them."""
    ids = customer_ids if isinstance(customer_ids, Select) else list(customer_ids)
    return select(Customer.id).where(Customer.id.in_(ids) | Customer.merged_into_id.in_(ids))


def list_merged(session: Session, customer_id: int) -> list[Customer]:
    """The rows that point at this customer, oldest first."""
    asked = select(Customer).where(Customer.merged_into_id == customer_id, Customer.erased_at.is_(None))
    return list(session.scalars(asked.order_by(Customer.id)))


def name_on_papers(customer: Customer) -> str:
    """What a paper calls a customer: the name typed for papers, else the name, else the phone."""
    return customer.printed_name or customer.called


def get_vehicle(session: Session, vehicle_id: int) -> Vehicle:
    """One vehicle with its customer loaded; NotFound when there is none."""
    vehicle = session.scalar(select(Vehicle).where(Vehicle.id == vehicle_id).options(selectinload(Vehicle.customer)))
    if vehicle is None:
        raise NotFound("There is no such vehicle in the book.")
    return vehicle


def list_customers(session: Session, *, after: tuple[str, int] = ("", 0), limit: int = 50) -> list[Customer]:
    """Customers by name from the one of this name and id on, a page at a time; who has only a phone comes first."""
    place = tuple_(Customer.name, Customer.id)
    asked = select(Customer).where(_is_listed(), place > after)
    return list(
        session.scalars(
            asked.order_by(Customer.name, Customer.id).limit(limit).options(selectinload(Customer.vehicles))
        )
    )


def _is_listed() -> ColumnElement[bool]:
    return Customer.erased_at.is_(None) & Customer.merged_into_id.is_(None)


def list_payers(session: Session) -> list[Customer]:
    """Insurers, dealers and fleets: who may pay for somebody else's car, by name."""
    return list(
        session.scalars(select(Customer).where(Customer.kind != "private", _is_listed()).order_by(Customer.name))
    )


def find_by_phone(session: Session, phone: str) -> Customer | None:
    """The customer of a phone number given whole, the newest of several; None where the book has none."""
    whole = max(phone_keys(phone), key=len, default="")
    return _find_by_keys(session, "phone", [whole]) if whole else None


def list_namesakes(
    session: Session, words: Iterable[str], limit: int = 5, besides: int | None = None
) -> list[Customer]:
    """Customers whose name has all of these words, folded as search keys are, one left out; newest first, vehicles
    loaded."""
    wanted = list(words)
    if not wanted:
        return []
    asked = select(Customer).where(_is_listed()).options(selectinload(Customer.vehicles))
    for word in wanted:
        keys = select(whole_of(SearchKey.customer_id)).where(SearchKey.key == word, SearchKey.kind == "name")
        asked = asked.where(Customer.id.in_(keys))
    if besides is not None:
        asked = asked.where(Customer.id != besides)
    return list(session.scalars(asked.order_by(Customer.id.desc()).limit(limit)))


def find_vehicle_by_plate(session: Session, keys: Iterable[str]) -> Vehicle | None:
    """The newest vehicle with one of these plate keys, or None."""
    vehicle_id = session.scalar(
        select(SearchKey.vehicle_id)
        .where(SearchKey.key.in_(list(keys)), SearchKey.kind == "plate")
        .order_by(SearchKey.vehicle_id.desc())
        .limit(1)
    )
    return get_vehicle(session, vehicle_id) if vehicle_id else None


def find_other_of_plate(session: Session, plate: str, besides: int | None = None) -> Vehicle | None:
    """Another vehicle with that plate, the newest, its owner loaded; None where there is none or no plate."""
    key = plate_key(plate)
    asked = select(SearchKey.vehicle_id).where(SearchKey.key == key, SearchKey.kind == "plate")
    asked = asked.where(SearchKey.vehicle_id != besides) if besides is not None else asked
    vehicle_id = session.scalar(asked.order_by(SearchKey.vehicle_id.desc()).limit(1)) if key else None
    return get_vehicle(session, vehicle_id) if vehicle_id else None


def _find_by_keys(session: Session, kind: str, keys: Iterable[str]) -> Customer | None:
    customer_id = session.scalar(
        select(whole_of(SearchKey.customer_id))
        .where(SearchKey.key.in_(list(keys)), SearchKey.kind == kind, SearchKey.customer_id.is_not(None))
        .order_by(SearchKey.customer_id.desc())
        .limit(1)
    )
    return session.get(Customer, customer_id) if customer_id else None


def find_anything(session: Session, typed: str) -> list[SearchHit]:
    """What the one search box finds, jobs first, newest first of all that match."""
    found = matches(typed)
    if found is None:
        return []
    each = found.subquery().c
    newest = (each.job_id.is_(None), each.job_id.desc(), each.vehicle_id.desc(), each.customer_id.desc())
    rows = session.execute(select(each.job_id, each.vehicle_id, each.customer_id).order_by(*newest).limit(MOST_FOUND))
    return [SearchHit(job_id, vehicle_id, customer_id) for job_id, vehicle_id, customer_id in rows]


def matches(
    typed: str, near: Mapping[str, Collection[str]] | None = None, *, with_phones: bool = True
) -> CompoundSelect[Any] | None:
    """All that was typed leads to, as rows of `job_id`, `vehicle_id` and `customer_id`; None where it says nothing.

    It is taken whole (a plate, a phone number, a VIN's end, a job number), as the words of a name, all of which one
    customer must have, and as the words of a car or its year, all of one car; figures alone are none. `near` are
    further keys of a word, as `list_near` answers them. Nothing is cut here, so that words are crossed over everybody
    and whoever asks finds the newest.
    """
    near, kinds = near or {}, _WHOLE if with_phones else _WHOLE - {"phone"}
    asked = [_leads(_begins(key), kinds) for key in asked_whole(typed)]
    asked += [_leads(SearchKey.key.in_(near[key]), {"plate"}) for key in asked_whole(typed) if key in near]
    asked += _of_words(asked_words(typed), near)
    return union(*asked) if asked else None


def list_near(session: Session, typed: str) -> dict[str, set[str]]:
    """For each word typed, and for all of it as a plate, the keys of the book that are one slip away from it."""
    asked = dict.fromkeys([*asked_words(typed)[:MOST_WORDS], *asked_whole(typed)])
    around = {word: near_words(word) for word in asked}
    every = set().union(*around.values())
    if not every:
        return {}
    known = select(SearchKey.key).where(SearchKey.key.in_(every), SearchKey.kind.in_(("name", "car", "plate")))
    found = set(session.scalars(known.distinct()))
    return {word: found & keys for word, keys in around.items() if found & keys}


def _of_words(words: list[str], near: Mapping[str, Collection[str]]) -> list[Select[Any]]:
    """The customers who have all of the words, and the cars that are called by all of them."""
    if not words:
        return []
    people = select(_NO_ROW, _NO_ROW, Customer.id).where(*(_is_named(word, near) for word in words))
    cars = select(_NO_ROW, Vehicle.id, _NO_ROW).where(*(_is_called(word, near) for word in words))
    return [people] if all(word.isdigit() for word in words) else [people, cars]


def _leads(is_key: ColumnElement[bool], kinds: Collection[str]) -> Select[Any]:
    customer = whole_of(SearchKey.customer_id).label("customer_id")
    return select(SearchKey.job_id, SearchKey.vehicle_id, customer).where(is_key, SearchKey.kind.in_(sorted(kinds)))


def _is_named(word: str, near: Mapping[str, Collection[str]]) -> ColumnElement[bool]:
    return Customer.id.in_(select(whole_of(SearchKey.customer_id)).where(*_is_said(word, near, "name")))


def _is_called(word: str, near: Mapping[str, Collection[str]]) -> ColumnElement[bool]:
    is_called = Vehicle.id.in_(select(SearchKey.vehicle_id).where(*_is_said(word, near, "car")))
    year = asked_year(word)
    return is_called if year is None else is_called | (Vehicle.year == year)


def _is_said(word: str, near: Mapping[str, Collection[str]], kind: str) -> tuple[ColumnElement[bool], ...]:
    said = _begins(word) | SearchKey.key.in_(near[word]) if word in near else _begins(word)
    return said, SearchKey.kind == kind


def _begins(key: str) -> ColumnElement[bool]:
    """A range over the normalised keys, so that an index serves it."""
    return (SearchKey.key >= key) & (SearchKey.key < key + "\U0010ffff")

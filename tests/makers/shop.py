"""Makers of the shop itself: a started book and its people."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import delete, text, true
from sqlalchemy.orm import Session

from shopbook.models.guards import drop_guards, make_guards
from shopbook.models.shop import Book, DatedTaxRate, LabourRate, Person, PersonCost, PersonRole, PersonSkill, Place
from shopbook.trade.catalogue.releases import own_release
from shopbook.trade.permissions import Actor, Role

STARTED = datetime(2026, 1, 2, 14, 0, tzinfo=UTC)
FIRST_DAY = date(2026, 1, 1)


def make_book(session: Session, **given: Any) -> Book:
    """A started book of a shop in the United States that taxes materials and parts at 8 %."""
    defaults: dict[str, Any] = {
        "id": 1,
        "book_key": secrets.token_hex(8),
        "country": "us",
        "currency": "USD",
        "zone": "America/New_York",
        "shop_name": "Quarry Lane Dent and Paint",
        "address": "14 Quarry Lane\nMillbrook",
        "phone": "555-0100",
        "mail": "",
        "tax_number": "00-0000000",
        "pay_to": "",
        "paper_size": "letter",
        "units": {},
        "is_demo": False,
        "is_tax_invoice": True,
        "catalogue_version": own_release(),
        "started_at": STARTED,
        "revision": 1,
    }
    book = Book(**(defaults | given))
    session.add(book)
    for name, is_bay in (("bay 1", True), ("bay 2", True), ("yard", False)):
        session.add(Place(name=name, is_bay=is_bay))
    for skill in ("body", "paint", "detail"):
        session.add(LabourRate(skill=skill, payer_kind="any", rate_minor=6500, from_on=FIRST_DAY, at=STARTED))
    for code, name, rate, kinds in (
        ("sales", "Sales tax", 8000, ["materials", "part", "colour"]),
        ("none", "Not taxed", 0, ["labour", "sublet", "fee"]),
    ):
        session.add(
            DatedTaxRate(
                code=code,
                name=name,
                rate_thousandths=rate,
                line_kinds=list(kinds),
                is_confirmed=True,
                from_on=FIRST_DAY,
                at=STARTED,
            )
        )
    session.flush()
    return book


def forget_taxes(session: Session) -> None:
    """Make a started book (SQLite) one whose shop has not set its tax yet; its guards stay in force."""
    with lifted(session, "guard_tax_rate_delete"):
        session.execute(delete(DatedTaxRate))


@contextmanager
def lifted(session: Session, guard: str) -> Iterator[None]:
    """What an older version left behind is written here without one guard (SQLite), which is in force again after."""
    made = session.scalars(text("SELECT sql FROM sqlite_master WHERE name = :guard"), {"guard": guard}).one()
    session.execute(text(f"DROP TRIGGER {guard}"))
    yield
    session.execute(text(made))


def make_person(
    session: Session, name: str, *roles: Role, skills: tuple[str, ...] = ("body", "paint", "detail"), cost: int = 3100
) -> Actor:
    """A person with roles, skills and what an hour costs; no password (tests sign in by the session)."""
    person = Person(
        name=name,
        weekly_minutes=2400,
        created_at=STARTED,
    )
    session.add(person)
    session.flush()
    session.add_all(PersonRole(person_id=person.id, role=role) for role in roles)
    session.add_all(PersonSkill(person_id=person.id, skill=skill) for skill in skills)
    session.add(PersonCost(person_id=person.id, cost_minor=cost, from_on=FIRST_DAY))
    session.flush()
    return Actor(person.id, name, frozenset(roles), frozenset(skills))


def forget_costs(session: Session, *people: Actor) -> None:
    """As if nobody had ever said what an hour costs of these, or of anybody, past guards that then stand again."""
    whose = PersonCost.person_id.in_([each.person_id for each in people]) if people else true()
    drop_guards(session.connection())
    session.execute(delete(PersonCost).where(whose))
    make_guards(session.connection())

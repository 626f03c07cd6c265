"""People, their roles, skills and cost, and devices."""

from collections.abc import Iterable
from datetime import date

from sqlalchemy import literal, select, union_all
from sqlalchemy.orm import Session

from shopbook.models.shop import Device, Person, PersonCost, PersonRole, PersonSkill, PinTrial, SignIn
from shopbook.trade.errors import NotFound
from shopbook.trade.letters import fold_name
from shopbook.trade.permissions import Actor, Role

_WORDS = union_all(
    select(PersonRole.person_id, PersonRole.role, literal("").label("skill")),
    select(PersonSkill.person_id, literal("").label("role"), PersonSkill.skill),
).subquery()
"""Every role and every skill of everybody: of a row one of the two is said."""


def get_person(session: Session, person_id: int) -> Person:
    """One person; NotFound when there is none."""
    person = session.get(Person, person_id)
    if person is None:
        raise NotFound("That person is not in the book.")
    return person


def find_person_named(session: Session, name: str) -> Person | None:
    """The active person of that name, in any case of letters, or None."""
    return session.scalar(select(Person).where(Person.folded_name == fold_name(name), Person.is_active))


def list_people_called(session: Session, name: str) -> list[Person]:
    """Who may mean themselves by that name: who has it, then active people who had it before the upgrade."""
    folded = fold_name(name)
    renamed = session.scalars(select(Person).where(Person.name_before.is_not(None), Person.is_active))
    had = [person for person in renamed if folded in {fold_name(person.name_before or "")} - {person.folded_name}]
    has = find_person_named(session, name)
    return [*([has] if has else []), *had]


def find_signed_in(session: Session, token_hash: str) -> Person | None:
    """The active person who is signed in in the browser of this token, or None."""
    asked = select(Person).join(SignIn, SignIn.person_id == Person.id)
    return session.scalar(asked.where(SignIn.token_hash == token_hash, Person.is_active))


def count_people_named(session: Session, name: str, besides_id: int | None = None) -> int:
    """How many people in the book, also those who left, have that name in any case of letters; one may be left out."""
    found = session.scalars(select(Person.id).where(Person.folded_name == fold_name(name)))
    return sum(person_id != besides_id for person_id in found)


def list_people(session: Session, *, is_everybody: bool = False) -> list[Person]:
    """Active people by name; with `is_everybody` also those who left."""
    asked = select(Person).order_by(Person.name)
    return list(session.scalars(asked if is_everybody else asked.where(Person.is_active)))


def list_staff(session: Session) -> list[tuple[Person, Actor]]:
    """All people by name with their roles and skills, also those who left; one statement."""
    asked = select(Person, _WORDS.c.role, _WORDS.c.skill).outerjoin(_WORDS, _WORDS.c.person_id == Person.id)
    people: dict[int, Person] = {}
    words: dict[int, list[tuple[str | None, str | None]]] = {}
    for person, role, skill in session.execute(asked.order_by(Person.name)):
        people[person.id] = person
        words.setdefault(person.id, []).append((role, skill))
    return [
        (person, _actor(person, [role for role, _ in words[key] if role], [skill for _, skill in words[key] if skill]))
        for key, person in people.items()
    ]


def get_actor(session: Session, person_id: int) -> Actor:
    """One person as an actor, with roles and skills."""
    person = get_person(session, person_id)
    roles = session.scalars(select(PersonRole.role).where(PersonRole.person_id == person_id)).all()
    skills = session.scalars(select(PersonSkill.skill).where(PersonSkill.person_id == person_id)).all()
    return _actor(person, roles, skills)


def _actor(person: Person, roles: Iterable[str], skills: Iterable[str]) -> Actor:
    return Actor(person.id, person.name, frozenset(Role(role) for role in roles), frozenset(skills))


def cost_on(session: Session, person_id: int, day: date) -> int:
    """What an hour of a person costs the shop on a day, in minor units; zero until somebody said."""
    cost = session.scalar(
        select(PersonCost.cost_minor)
        .where(PersonCost.person_id == person_id, PersonCost.from_on <= day)
        .order_by(PersonCost.from_on.desc(), PersonCost.id.desc())
        .limit(1)
    )
    return cost or 0


def costs_on(session: Session, day: date) -> dict[int, int]:
    """What an hour of each person costs on a day, by person id; people without a figure are left out."""
    lines = session.execute(
        select(PersonCost.person_id, PersonCost.cost_minor)
        .where(PersonCost.from_on <= day)
        .order_by(PersonCost.from_on, PersonCost.id)
    )
    return {person_id: cost for person_id, cost in lines}


def find_device(session: Session, token_hash: str) -> Device | None:
    """The signed-in device with that token, or None."""
    return session.scalar(select(Device).where(Device.token_hash == token_hash, Device.ended_at.is_(None)))


def list_devices(session: Session) -> list[Device]:
    """Devices that stay signed in, newest first."""
    return list(session.scalars(select(Device).where(Device.ended_at.is_(None)).order_by(Device.id.desc())))


def list_trials(session: Session, whom: Iterable[str]) -> list[PinTrial]:
    """The rows of wrong tries of these counts."""
    return list(session.scalars(select(PinTrial).where(PinTrial.whom.in_(list(whom)))))

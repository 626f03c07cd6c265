"""People are added, changed and leave; devices stay signed in; wrong tries are counted. Hashes are made at the edge."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from shopbook.models.shop import Device, Person, PersonCost, PersonRole, PersonSkill, PinTrial, SignIn
from shopbook.queries.shop.people import count_people_named, get_person
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, refuse_closed, write_log
from shopbook.services.shop.paid_weeks import end_paid_week
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Role

SIGN_IN_HOLDS = timedelta(days=90)
"""How long a browser stays signed in."""

TRIES_ARE_KEPT = timedelta(days=1)
"""Longer than any of them slows the next."""


def add_person(
    act: Act,
    *,
    name: str,
    roles: Iterable[Role],
    skills: Iterable[str] = (),
    password_hash: str | None = None,
    pin_hash: str | None = None,
    weekly_minutes: int = 2400,
) -> Person:
    """A new person with roles and skills. RuleBroken for a name that is empty or taken, or for no role at all."""
    person = Person(
        name=_free_name(act.session, name),
        password_hash=password_hash,
        pin_hash=pin_hash,
        weekly_minutes=weekly_minutes,
        created_at=act.moment,
    )
    act.session.add(person)
    act.session.flush()
    _set_roles(act.session, person, roles, skills)
    write_log(act, "add_person", "person", person.id, "Added a person")
    return person


def change_person(
    act: Act,
    person_id: int,
    *,
    revision: int,
    name: str,
    roles: Iterable[Role],
    skills: Iterable[str],
    weekly_minutes: int,
    is_active: bool,
) -> Person:
    """Change a person; Conflict when somebody else did meanwhile, RuleBroken when no owner would be left."""
    person = get_person(act.session, person_id)
    if person.revision != revision:
        raise Conflict(
            "Someone else changed this person meanwhile. Check what is there now, then make your change again."
        )
    plain = _free_name(act.session, name, person.id)
    asked, able = set(roles), set(skills)
    held = _roles_and_skills(act.session, person.id)
    if not is_active or Role.OWNER not in asked:
        _keep_an_owner(act.session, person)
    if plain != person.name:
        person.name_before = None
    person.name, person.weekly_minutes, person.is_active = plain, weekly_minutes, is_active
    if (asked, able) == held and not is_changed(act, person):
        return person
    person.revision += 1
    if not is_active:
        _end_sign_ins(act.session, person.id)
        end_paid_week(act, person.id)
    _set_roles(act.session, person, asked, able)
    write_log(act, "change_person", "person", person.id, "Changed a person")
    return person


def _free_name(session: Session, name: str, own_id: int | None = None) -> str:
    plain = " ".join(name.split())
    if not plain:
        raise RuleBroken("Enter the person's name.", "name")
    if count_people_named(session, plain, own_id):
        raise RuleBroken("Someone here has or had that name. Add an initial.", "name")
    return plain


def name_is_known(session: Session, person_id: int) -> None:
    """The person has signed in under the name that the upgrade gave; its transaction is its own."""
    get_person(session, person_id).name_before = None


def _roles_and_skills(session: Session, person_id: int) -> tuple[set[str], set[str]]:
    roles = session.scalars(select(PersonRole.role).where(PersonRole.person_id == person_id))
    return set(roles), set(session.scalars(select(PersonSkill.skill).where(PersonSkill.person_id == person_id)))


def _set_roles(session: Session, person: Person, roles: Iterable[Role], skills: Iterable[str]) -> None:
    asked = set(roles)
    if not asked:
        raise RuleBroken("Choose at least one role.", "roles")
    session.execute(delete(PersonRole).where(PersonRole.person_id == person.id))
    session.execute(delete(PersonSkill).where(PersonSkill.person_id == person.id))
    session.add_all(PersonRole(person_id=person.id, role=role) for role in sorted(asked))
    session.add_all(PersonSkill(person_id=person.id, skill=skill) for skill in sorted(set(skills)))
    session.flush()


def _keep_an_owner(session: Session, person: Person) -> None:
    others = (
        session.query(PersonRole)
        .join(Person, Person.id == PersonRole.person_id)
        .filter(PersonRole.role == Role.OWNER, Person.is_active, Person.id != person.id)
        .count()
    )
    was_owner = session.get(PersonRole, (person.id, Role.OWNER)) is not None
    if was_owner and others == 0:
        raise RuleBroken("The shop needs an owner who can sign in. Make someone else an owner first.", "roles")


def set_password(act: Act, person_id: int, password_hash: str) -> None:
    """A new password; every open sign-in of the person ends."""
    person = get_person(act.session, person_id)
    person.password_hash = password_hash
    _end_sign_ins(act.session, person.id)
    write_log(act, "set_password", "person", person.id, "Set a new password")


def begin_sign_in(session: Session, now: datetime, person_id: int, token_hash: str) -> None:
    """Sign a person in on one more browser; sign-ins that have expired are deleted."""
    session.execute(delete(SignIn).where(SignIn.since_at < now - SIGN_IN_HOLDS))
    session.add(SignIn(token_hash=token_hash, person_id=person_id, since_at=now))


def end_sign_in(session: Session, token_hash: str) -> None:
    """That browser is signed out, whoever holds a copy of its cookie too."""
    session.execute(delete(SignIn).where(SignIn.token_hash == token_hash))


def _end_sign_ins(session: Session, person_id: int) -> None:
    session.execute(delete(SignIn).where(SignIn.person_id == person_id))


def set_pin(act: Act, person_id: int, pin_hash: str) -> None:
    """A new PIN for the floor."""
    get_person(act.session, person_id).pin_hash = pin_hash
    write_log(act, "set_pin", "person", person_id, "Set a new PIN")


def set_cost(act: Act, person_id: int, cost_minor: int, from_on: date) -> None:
    """What an hour of a person costs from a day on."""
    if cost_minor < 0:
        raise RuleBroken("Enter a cost of zero or more.", "cost")
    refuse_closed(act.session, from_on, field="cost_from_on")
    get_person(act.session, person_id)
    act.session.add(PersonCost(person_id=person_id, cost_minor=cost_minor, from_on=from_on))
    write_log(act, "set_cost", "person", person_id, "Set the cost per hour")


def enrol_device(act: Act, *, token_hash: str, name: str) -> Device:
    """A device stays signed in on the floor; its user is chosen on it."""
    device = Device(token_hash=token_hash, name=name, person_id=act.actor.person_id, since_at=act.moment)
    act.session.add(device)
    act.session.flush()
    write_log(act, "enrol_device", "device", device.id, "Kept a device signed in")
    return device


def hold_device(act: Act, device_id: int) -> None:
    """The actor uses the device now."""
    device = act.session.get_one(Device, device_id)
    if device.person_id != act.actor.person_id:
        device.person_id = act.actor.person_id
        write_log(act, "hold_device", "device", device.id, "Started using the device")


def put_down_device(act: Act, device_id: int) -> None:
    """Nobody uses the device now; it stays enrolled."""
    act.session.get_one(Device, device_id).person_id = None
    write_log(act, "put_down_device", "device", device_id, "Stopped using the device")


def end_device(act: Act, device_id: int) -> None:
    """A device is signed out for good."""
    device = act.session.get(Device, device_id)
    if device is None or device.ended_at is not None:
        raise NotFound("That device is not signed in.")
    device.ended_at = act.moment
    write_log(act, "end_device", "device", device_id, "Signed a device out")


def count_wrong_try(session: Session, now: datetime, whom: Iterable[str]) -> None:
    """One more wrong PIN or password of these counts; its transaction is its own."""
    session.execute(delete(PinTrial).where(PinTrial.last_at < now - TRIES_ARE_KEPT))
    for key in whom:
        trial = session.get(PinTrial, key)
        if trial is None:
            session.add(PinTrial(whom=key, wrong=1, last_at=now))
        else:
            trial.wrong, trial.last_at = trial.wrong + 1, now


def forget_wrong_tries(session: Session, whom: Iterable[str]) -> None:
    """The right one was typed: the next try is not slowed."""
    session.execute(delete(PinTrial).where(PinTrial.whom.in_(list(whom))))

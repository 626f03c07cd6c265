"""People, the devices they hold, and wrong tries."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.shop import PersonCost, SignIn
from shopbook.outside.passwords import hash_token
from shopbook.queries.shop.people import cost_on, costs_on, find_device, find_signed_in, get_actor, list_trials
from shopbook.services.act import Act
from shopbook.services.shop.people import (
    SIGN_IN_HOLDS,
    add_person,
    begin_sign_in,
    change_person,
    count_wrong_try,
    end_device,
    end_sign_in,
    enrol_device,
    forget_wrong_tries,
    hold_device,
    put_down_device,
    set_cost,
    set_password,
    set_pin,
)
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Actor, Role
from tests.makers import make_person


def change(session: Session, owner: Actor, now: datetime, person_id: int | None, **given: object) -> None:
    values = {"revision": 1, "name": "Dana", "roles": [Role.TECHNICIAN], "skills": ["paint"]}
    values |= {"weekly_minutes": 2400, "is_active": True} | given
    change_person(Act(session, owner, now), person_id or 0, **values)  # type: ignore[arg-type]


def test_a_name_is_taken_also_by_somebody_who_left(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    change(session, owner, now, dana.person_id, is_active=False)
    with pytest.raises(RuleBroken) as broken:
        add_person(act, name=" Dana ", roles=[Role.DESK])
    assert broken.value.field == "name"


def test_an_emptied_name_is_refused(session: Session, owner: Actor, now: datetime) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    with pytest.raises(RuleBroken):
        change(session, owner, now, dana.person_id, name="   ")


def test_the_last_owner_stays_an_owner(session: Session, owner: Actor, now: datetime) -> None:
    with pytest.raises(RuleBroken, match="needs an owner"):
        change(session, owner, now, owner.person_id, name="Noor", roles=[Role.DESK])
    with pytest.raises(RuleBroken, match="needs an owner"):
        change(session, owner, now, owner.person_id, name="Noor", roles=[Role.OWNER], is_active=False)


def test_a_stale_page_of_a_person_is_refused(session: Session, owner: Actor, now: datetime) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    change(session, owner, now, dana.person_id, roles=[Role.TECHNICIAN, Role.DESK])
    assert get_actor(session, dana.person_id or 0).roles == {Role.TECHNICIAN, Role.DESK}
    with pytest.raises(Conflict):
        change(session, owner, now, dana.person_id)


@pytest.mark.parametrize("what", ["password", "leaving"])
def test_open_sign_ins_end_with_a_new_password_and_with_leaving(
    session: Session, owner: Actor, now: datetime, act: Act, what: str
) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    for token, who in (("hers", dana), ("also hers", dana), ("mine", owner)):
        begin_sign_in(session, now, who.person_id or 0, token)
    if what == "password":
        set_password(act, dana.person_id or 0, "hash")
    else:
        change(session, owner, now, dana.person_id, is_active=False)
    session.flush()
    open_ones = set(session.scalars(select(SignIn.token_hash)))
    assert open_ones == {"mine"}


def test_a_sign_in_ends_alone_and_is_forgotten_when_no_browser_keeps_it(
    session: Session, owner: Actor, now: datetime
) -> None:
    for token, at in (("old", now - SIGN_IN_HOLDS - timedelta(days=1)), ("phone", now), ("desk", now)):
        begin_sign_in(session, at, owner.person_id or 0, token)
        session.flush()
    assert find_signed_in(session, "old") is None
    end_sign_in(session, "phone")
    assert find_signed_in(session, "phone") is None
    found = find_signed_in(session, "desk")
    assert found is not None
    assert found.id == owner.person_id


def test_a_new_pin_ends_no_sign_in(session: Session, now: datetime, act: Act) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    begin_sign_in(session, now, dana.person_id or 0, "hers")
    set_pin(act, dana.person_id or 0, "hash")
    session.flush()
    assert find_signed_in(session, "hers") is not None


def test_cost_of_an_hour_holds_from_its_day_and_not_in_a_closed_month(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN, cost=3100).person_id or 0
    set_cost(act, dana, 3400, date(2026, 12, 1))
    assert (cost_on(session, dana, date(2026, 11, 30)), cost_on(session, dana, date(2026, 12, 1))) == (3100, 3400)
    # Of one day the newest line counts; the earlier one stays to be read.
    set_cost(act, dana, 3500, date(2026, 12, 1))
    assert cost_on(session, dana, date(2026, 12, 1)) == 3500
    assert costs_on(session, date(2026, 12, 1))[dana] == 3500
    lines = session.scalars(select(PersonCost.cost_minor).where(PersonCost.person_id == dana).order_by(PersonCost.id))
    assert lines.all() == [3100, 3400, 3500]
    session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=now, person_id=owner.person_id))
    session.flush()
    with pytest.raises(RuleBroken, match="closed up to"):
        set_cost(act, dana, 1, date(2026, 10, 1))


def test_a_device_changes_hands_and_is_signed_out_for_good(session: Session, now: datetime, act: Act) -> None:
    dana = make_person(session, "Dana", Role.TECHNICIAN)
    device = enrol_device(act, token_hash=hash_token("t"), name="Phone")
    hold_device(Act(session, dana, now), device.id)
    assert device.person_id == dana.person_id
    put_down_device(Act(session, dana, now), device.id)
    assert device.person_id is None
    end_device(act, device.id)
    assert find_device(session, hash_token("t")) is None
    with pytest.raises(NotFound):
        end_device(act, device.id)


def test_wrong_tries_are_forgotten_when_they_slow_nobody_any_more(session: Session, now: datetime) -> None:
    count_wrong_try(session, now - timedelta(days=2), ["name:long ago"])
    session.flush()
    count_wrong_try(session, now, ["name:now"])
    session.flush()
    assert [trial.whom for trial in list_trials(session, ["name:long ago", "name:now"])] == ["name:now"]


def test_wrong_tries_add_up_until_the_right_one(session: Session, now: datetime) -> None:
    whom = ["person:1", "address:10.0.0.9"]
    for _ in range(3):
        count_wrong_try(session, now, whom)
        session.flush()
    assert {trial.wrong for trial in list_trials(session, whom)} == {3}
    forget_wrong_tries(session, whom)
    assert list_trials(session, whom) == []

"""The log says what was done, nothing else, and each line about a job stands in that job's log."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shop import LogLine, Person, Place
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.log import list_job_log
from shopbook.queries.shop.rates import labour_rates_on
from shopbook.services.act import Act
from shopbook.services.customers import change_customer, change_vehicle, keep_printed_name
from shopbook.services.floor.day_sheet import correct_entry, take_entry_back
from shopbook.services.floor.mixes import Poured, make_mix
from shopbook.services.jobs.damage import change_damage
from shopbook.services.jobs.jobs import change_job, check_in, keep_desk_facts, plan_days
from shopbook.services.jobs.parts import add_part, change_part
from shopbook.services.shelf.materials import change_material
from shopbook.services.shop.book import change_book, change_place
from shopbook.services.shop.people import change_person
from shopbook.services.shop.rates import confirm_taxes, set_labour_rates
from shopbook.trade.floor.words import Why
from shopbook.trade.permissions import Role
from tests.makers import make_customer, make_vehicle
from tests.makers.floor import make_entry, make_painter, make_work
from tests.makers.jobs import make_damage, make_job
from tests.makers.shelf import make_material

DAY = date(2026, 11, 5)


def lines(session: Session) -> int:
    session.flush()
    return session.scalar(select(func.count()).select_from(LogLine)) or 0


def the_customer(act: Act) -> Callable[[str], Any]:
    customer = make_customer(act.session)
    return lambda name: change_customer(act, customer.id, revision=customer.revision, name=name, phone="555-0142")


def the_printed_name(act: Act) -> Callable[[str], Any]:
    customer = make_customer(act.session)
    return lambda name: keep_printed_name(act, customer.id, name)


def the_car(act: Act) -> Callable[[str], Any]:
    car = make_vehicle(act.session, make_customer(act.session))
    return lambda name: change_vehicle(act, car.id, revision=car.revision, description=name)


def the_material(act: Act) -> Callable[[str], Any]:
    material = make_material(act.session)
    return lambda name: change_material(act, material.id, revision=material.revision, name=name, sheet={"voc_g_l": 420})


def the_shop(act: Act) -> Callable[[str], Any]:
    book = get_book(act.session)
    return lambda name: change_book(act, revision=book.revision, units=dict(book.units), shop_name=name)


def the_place(act: Act) -> Callable[[str], Any]:
    place = act.session.scalars(select(Place)).first()
    assert place is not None
    return lambda name: change_place(act, place.id, name=name, is_bay=True, is_active=True)


def the_person(act: Act) -> Callable[[str], Any]:
    dana = act.session.get_one(Person, make_painter(act.session).person_id)
    kept = {"roles": [Role.TECHNICIAN], "skills": ["paint"], "weekly_minutes": 2400, "is_active": True}
    return lambda name: change_person(act, dana.id, revision=dana.revision, name=name, **kept)  # type: ignore[arg-type]


def the_job(act: Act) -> Callable[[str], Any]:
    job = make_job(act.session)
    kept = {"payer_kind": "private", "purpose": "paid", "customer_id": job.customer_id, "vehicle_id": job.vehicle_id}
    return lambda name: change_job(act, job.id, revision=job.revision, wrong=name, **kept)  # type: ignore[arg-type]


def the_desk_facts(act: Act) -> Callable[[str], Any]:
    job = make_job(act.session)
    return lambda name: keep_desk_facts(act, job.id, revision=job.revision, key_number=name)


def the_days(act: Act) -> Callable[[str], Any]:
    job = make_job(act.session)
    return lambda name: plan_days(act, job.id, DAY, "", date(2026, 11, 6 + len(name)), "")


def the_damage(act: Act) -> Callable[[str], Any]:
    damage = make_damage(act.session, make_job(act.session))
    return lambda name: change_damage(act, damage.id, note=name)


def the_part(act: Act) -> Callable[[str], Any]:
    part = add_part(act, make_job(act.session).id, name="lamp", cost_minor=9_000)
    return lambda name: change_part(act, part.id, name=name, cost_minor=9_000)


def the_rates(act: Act) -> Callable[[str], Any]:
    held = labour_rates_on(act.session, DAY)
    return lambda name: set_labour_rates(act, held | {("body", "any"): 6500 + len(name)}, DAY)


@pytest.mark.parametrize(
    "saved",
    [
        *(the_customer, the_printed_name, the_car, the_material, the_shop, the_place, the_person, the_job),
        *(the_desk_facts, the_days, the_damage, the_part, the_rates),
    ],
)
def test_saving_again_what_is_there_already_is_not_logged_as_a_change(
    act: Act, saved: Callable[[Act], Callable[[str], Any]]
) -> None:
    save = saved(act)
    before = lines(act.session)
    save("Rena")
    assert lines(act.session) == before + 1, "a change is logged once"
    save("Rena")
    assert lines(act.session) == before + 1, "nothing was changed, so nothing is said"
    save("Rena Kolb")
    assert lines(act.session) == before + 2


def test_a_second_check_in_with_the_same_facts_is_not_logged(session: Session, act: Act) -> None:
    job = make_job(session)
    check_in(act, job.id, revision=job.revision, key_number="7")
    before = lines(session)
    check_in(act, job.id, revision=job.revision, key_number="7")
    assert lines(session) == before


def test_confirming_rates_that_are_confirmed_is_not_logged(session: Session, act: Act) -> None:
    before = lines(session)
    confirm_taxes(act, DAY)
    assert lines(session) == before


def test_one_mix_for_two_cars_stands_in_the_log_of_both(session: Session, act: Act) -> None:
    stages, material = [make_work(session), make_work(session)], make_material(session)
    make_mix(act, "Clear", [Poured("clear", 400_000, material.id)], [(stage.id, 200_000) for stage in stages])
    session.flush()
    for stage in stages:
        assert "Mixed Clear" in [line.words for line in list_job_log(session, stage.job_id)]


def test_corrected_and_removed_hours_stand_in_the_log_of_their_job(session: Session, act: Act) -> None:
    stage, dana = make_work(session), make_painter(session)
    entry = make_entry(session, dana, stage, "9:00", "10:00")
    made = correct_entry(act, entry.id, reason=Why.FORGOT)
    take_entry_back(act, made.id, reason=Why.FORGOT)
    session.flush()
    said = [line.act for line in list_job_log(session, stage.job_id)]
    assert {"correct_entry", "take_entry_back"} <= set(said)

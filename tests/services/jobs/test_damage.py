"""Hurt places, gauge readings and recorded pictures."""

from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import PictureStrike
from shopbook.queries.jobs.damage import list_damages, list_pictures, list_readings
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_damage, add_reading, change_damage, strike_damage
from shopbook.services.jobs.kerb import open_kerb_job
from shopbook.services.jobs.pictures import record_picture, strike_picture
from shopbook.services.jobs.restoring import restore_picture
from shopbook.services.jobs.whose import find_or_add_who
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.kerb import KerbAnswer
from shopbook.trade.planning.shapes import PaintChoice
from tests.makers.customers import make_customer, make_vehicle
from tests.makers.jobs import make_damage, make_job

KEPT = KeptPicture("a" * 64, "b" * 64, 640, 480, 1000)


def test_damages_are_numbered_on_past_struck_ones(session: Session, act: Act) -> None:
    job = make_job(session)
    strike_damage(act, make_damage(session, job).id)
    assert make_damage(session, job, "roof").number == 2
    assert [damage.number for damage in list_damages(session, job.id)] == [2]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"panel": "moon"}, "panel"),
        ({"length_mm": -5}, "length_mm"),
        ({"length_mm": 9000, "width_mm": 9000}, "length_mm"),
        ({"depth_um": -1}, "depth_um"),
        ({"kind": "small_dents", "dent_count": 0, "dent_class_mm": 20}, "dent_count"),
        ({"kind": "rust", "substrate": "plastic"}, "kind"),
    ],
)
def test_a_damage_that_cannot_be_is_refused_by_its_field(
    session: Session, act: Act, given: dict[str, Any], field: str
) -> None:
    job = make_job(session)
    with pytest.raises(RuleBroken) as refused:
        add_damage(act, job.id, **({"panel": "bonnet", "kind": "dent"} | given))
    assert refused.value.field == field
    assert list_damages(session, job.id) == []


def test_a_changed_damage_keeps_what_was_not_given(session: Session, act: Act) -> None:
    job = make_job(session)
    damage = make_damage(session, job, crosses=("lip", "edge"), note="by the arch")
    change_damage(act, damage.id, depth="deep")
    assert (damage.depth, damage.crosses, damage.note) == ("deep", "edge,lip", "by the arch")


def test_a_reading_in_mil_is_kept_in_whole_micrometres(session: Session, act: Act) -> None:
    job = make_job(session)
    add_reading(act, job.id, panel="bonnet", spot="middle", value=4.5, unit="mil")
    assert [reading.film_um for reading in list_readings(session, job.id)] == [114]  # 4.5 × 25.4 µm
    with pytest.raises(RuleBroken):
        add_reading(act, job.id, panel="bonnet", spot="", value=-1)


def test_a_picture_belongs_to_the_damage_of_its_own_job(session: Session, act: Act) -> None:
    job, other = make_job(session), make_job(session)
    foreign = make_damage(session, other)
    with pytest.raises(RuleBroken, match="another job"):
        record_picture(act, job.id, KEPT, foreign.id)
    picture = record_picture(act, job.id, KEPT, caption="x" * 300)
    assert len(picture.caption) == 200
    strike_picture(act, picture.id)
    assert list_pictures(session, job.id) == []


def test_a_picture_removed_and_restored_keeps_its_row_and_has_a_line_for_each(session: Session, act: Act) -> None:
    picture = record_picture(act, make_job(session).id, KEPT)
    strike_picture(act, picture.id)
    assert picture.struck_at == act.moment
    for _ in range(2):
        # A second press finds it shown already, and writes no further line.
        restore_picture(act, picture.id)
    assert picture.struck_at is None
    lines = session.scalars(select(PictureStrike).order_by(PictureStrike.id))
    assert [(line.is_struck, line.person_id) for line in lines] == [
        (True, act.actor.person_id),
        (False, act.actor.person_id),
    ]


def test_a_known_phone_or_plate_leads_to_who_is_known(session: Session, act: Act) -> None:
    customer = make_customer(session)
    vehicle = make_vehicle(session, customer)
    assert find_or_add_who(act, "5550142")[0] is customer
    assert find_or_add_who(act, "ktr-204") == (customer, vehicle)


def test_a_new_plate_is_a_new_car_and_a_name_a_new_customer(act: Act) -> None:
    customer, vehicle = find_or_add_who(act, "AB12 CDE")
    assert customer is None
    assert vehicle is not None
    customer, vehicle = find_or_add_who(act, "Mia 555-0177", car="red van")
    assert customer is not None
    assert vehicle is not None
    assert (customer.name, customer.phone, vehicle.description, vehicle.customer_id) == (
        "Mia",
        "555-0177",
        "red van",
        customer.id,
    )


def test_the_end_of_a_phone_number_is_not_taken_for_the_whole(session: Session, act: Act) -> None:
    known = make_customer(session, "Ines", "+1 212 555 0142")
    found, _ = find_or_add_who(act, "303 555 0142")
    assert found is not known


def test_a_look_makes_a_job_with_damage_and_plan(session: Session, act: Act) -> None:
    answers = (KerbAnswer("bonnet"), KerbAnswer("roof", paint=PaintChoice.NO_PAINT, dent_count=12, dent_class_mm=20))
    job = open_kerb_job(act, who="555-0164", wrong="Hail", answers=answers)
    assert [(each.panel, each.dent_count) for each in list_damages(session, job.id)] == [("bonnet", 0), ("roof", 12)]
    with pytest.raises(RuleBroken, match="panel"):
        open_kerb_job(act, who="555-0164", wrong="Hail", answers=())

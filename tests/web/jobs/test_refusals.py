"""What no panel, day or mix can be: a sentence beside the field, what was typed still there, nothing kept."""

from typing import Any

import pytest
from flask import Flask
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, GaugeReading
from shopbook.models.session import transaction
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.makers.jobs import make_job, make_planned_job
from tests.makers.shop import STARTED

PLAIN = {"panel": "left_front_door", "kind": "dent", "size": "M", "depth": "finger", "substrate": "steel"}
PLAIN |= {"paint": "paint", "access": ""}


@pytest.fixture
def number(app: Flask) -> int:
    """The number of a job with one damage and its plan."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        return make_planned_job(opened).number


def kept(app: Flask, table: type) -> int:
    with app.app_context():
        count = db.session.scalar(select(func.count()).select_from(table))
        db.session.remove()
    return count or 0


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"length_mm": "0"}, "Enter a length and width above zero"),
        ({"width_mm": "0"}, "Enter a length and width above zero"),
        ({"length_mm": "2500 mm", "width_mm": "2500 mm"}, "larger than its panel"),
        ({"depth_um": "0"}, "Enter a depth above zero"),
        ({"depth_um": "200 mm"}, "over 5.91 in deep cannot be repaired"),
        ({"kind": "scratch", "depth_um": "2 mm"}, "is deeper than the panel is thick"),
        ({"kind": "small_dents", "dent_count": "0", "dent_class_mm": "25 mm"}, "Enter how many small dents"),
        ({"kind": "rust", "substrate": "plastic", "panel": "front_bumper"}, "plastic does not rust"),
    ],
)
def test_a_damage_that_cannot_be_is_refused_beside_its_field(
    app: Flask, client: ShopClient, number: int, typed: dict[str, Any], sentence: str
) -> None:
    before = kept(app, Damage)
    answer = client.press(f"/jobs/{number}/damage/new", **(PLAIN | typed | {"note": "seen from the left"}))
    assert answer.status_code == 422
    assert any(sentence in each for each in sentences(answer.text)), sentences(answer.text)
    assert "seen from the left" in answer.text
    assert kept(app, Damage) == before


def test_a_panel_that_nobody_knows_the_metal_of_is_planned_with_care_and_says_so(app: Flask) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        job = make_job(opened)
        add_damage(Act(opened, THE_PROGRAM, STARTED), job.id, panel="left_front_door", substrate="unknown")
        draft_plan(Act(opened, THE_PROGRAM, STARTED), job.id)
        number = list_jobs_by_id(opened, [job.id])[job.id].number
    page = ShopClient(app).signed_in_as("Desk").text(f"/jobs/{number}")
    assert "the material of the panel is not entered" in page
    assert "aluminum, which is slower" in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"humidity": "101"}, "from 1 to 100"),
        ({"humidity": "0"}, "from 1 to 100"),
        ({"temperature": "90 °C"}, "between -20 and 50"),
        ({"temperature": "-60 °C"}, "between -20 and 50"),
        ({"base_coats": "9"}, "from 1 to 6"),
    ],
)
def test_a_day_that_no_shop_has_is_refused_and_the_plan_stays(
    client: ShopClient, number: int, typed: dict[str, str], sentence: str
) -> None:
    before = client.text(f"/jobs/{number}/versions")
    answer = client.press(f"/jobs/{number}/what-if", **typed)
    assert answer.status_code == 422
    assert any(sentence in each for each in sentences(answer.text)), sentences(answer.text)
    assert next(iter(typed.values())) in answer.text
    assert client.text(f"/jobs/{number}/versions").count("<tr") == before.count("<tr")


@pytest.mark.parametrize("value", ["-5", "30 mm", "much"])
def test_a_reading_that_no_gauge_shows_is_refused(app: Flask, client: ShopClient, number: int, value: str) -> None:
    answer = client.press(f"/jobs/{number}/reading", panel="left_front_door", spot="middle", value=value)
    assert answer.status_code == 422
    assert value in answer.text
    assert kept(app, GaugeReading) == 0


def test_readings_in_mil_and_in_micrometres_say_the_same_the_thickest_first(client: ShopClient, number: int) -> None:
    client.press_on(f"/jobs/{number}/reading", panel="left_front_door", spot="edge", value="110 µm")
    page = client.press_on(f"/jobs/{number}/reading", panel="left_front_door", spot="middle", value="30 mil")
    thick, thin = page.index("30 mil, filler underneath"), page.index("4.3 mil, factory paint")
    assert thick < thin


CLEAR = {
    "name": "Clear",
    "parts": "clear = 2\nclear_activator = 1",
    "build_parts": "",
    "solids_permille": "385",
    "dry_um": "52 µm",
    "coats": "2",
    "coat_minutes": "8",
    "pot_life_minutes": "50",
    "loss_ml": "40",
    "step_ml": "10",
    "thumb_ml": "250\n320",
    "from_on": "",
}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"parts": "clear = 0\nclear_activator = 0"}, "enter at least one part above zero"),
        ({"solids_permille": "0"}, "must be between 1 and 1000"),
        ({"solids_permille": "1400"}, "must be between 1 and 1000"),
    ],
)
def test_a_mix_of_nothing_or_of_more_than_solids_is_no_standard(
    app: Flask, typed: dict[str, str], sentence: str
) -> None:
    owner = ShopClient(app).signed_in_as("Noor")
    answer = owner.press("/settings/standards/mix/clear_medium", **(CLEAR | typed))
    assert answer.status_code == 422
    assert any(sentence in each for each in sentences(answer.text)), sentences(answer.text)
    assert next(iter(typed.values())).splitlines()[0] in answer.text
    assert owner.press("/settings/standards/mix/clear_medium", **CLEAR).status_code == 303

"""The owner's own rule for a stage, and a product's own range, reach plan, floor and job card from their day."""

import io
from datetime import timedelta

import pytest
from pypdf import PdfReader
from sqlalchemy import select

from shopbook.models.jobs import Job, Stage
from shopbook.models.session import transaction
from shopbook.models.shelf import Material
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at
from tests.makers.jobs import make_planned_job
from tests.makers.shelf import make_material

RULE = "No radio in the mixing room."


@pytest.fixture
def desk(client: ShopClient) -> ShopClient:
    """An owner at the desk on the makers' Thursday, one job agreed that takes a clear off the shelf."""
    client.app.config["CLOCK"] = lambda: at("10:00")
    with client.app.app_context(), transaction(db.session()) as session:
        make_material(session, "Clear, slow", role="clear", sheet={"lowest_tenths": 220})
        make_planned_job(session, is_agreed=True)
    return client


def stage_id(client: ShopClient, code: str) -> int:
    with client.app.app_context():
        found = db.session.scalar(select(Stage.id).where(Stage.code == code))
        assert found is not None
        return found


def typed(client: ShopClient, **changed: object) -> dict[str, object]:
    """The form of the base and clear session as the page shows it, with something changed."""
    shown = {
        "order": "160", "name": "Base and clear coat", "skill": "paint", "fixed_minutes": "26",
        "panel_minutes": "16", "damage_minutes": "0", "minutes_per_m2": "24", "measured_by": "panel",
        "next_panel_permille": "90", "factors": "many_coats", "steps": "mix, strain and set up the gun",
        "cautions": ["isocyanates", "vapour_fire", "skin", "eyes", "compressed_air"], "gun_cleans": "2",
        "wait": "clear_unmask", "waits_inside": "base_flash", "uses": "gloves = 2", "is_on": "y",
    }  # fmt: skip
    return shown | changed


def card(client: ShopClient, number: int) -> str:
    body = client.get(f"/floor/jobs/{number}/card.pdf").data
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(body)).pages).replace("\n", " ")


def number_of(client: ShopClient) -> int:
    with client.app.app_context():
        found = db.session.scalar(select(Job.number))
        assert found is not None
        return found


def test_a_rule_of_the_owners_stands_on_plan_floor_and_card_from_its_day_and_not_before(desk: ShopClient) -> None:
    later = (at("10:00") + timedelta(days=1)).date().isoformat()
    page = "/settings/standards/stage/base_clear"
    desk.press_on(page, **typed(desk, own_cautions=RULE, from_on=later))
    number, stage = number_of(desk), stage_id(desk, "base_clear")
    assert RULE not in desk.text(f"/jobs/{number}")
    desk.app.config["CLOCK"] = lambda: at("10:00") + timedelta(days=1)
    for where in (f"/jobs/{number}", f"/floor/stages/{stage}"):
        assert RULE in desk.text(where)
    assert "No radio in the mixing room" in card(desk, number)


def test_one_of_the_programs_cautions_cannot_be_taken_out_and_what_was_typed_stays(desk: ShopClient) -> None:
    page = "/settings/standards/stage/base_clear"
    answer = desk.press(page, **typed(desk, own_cautions=RULE, cautions=["skin", "eyes", "noise"]))
    assert answer.status_code == 422
    assert "“Isocyanates” stays on this stage" in answer.text
    assert RULE in answer.text


def test_a_day_outside_the_products_sheet_is_said_on_plan_floor_and_card(desk: ShopClient) -> None:
    number, stage = number_of(desk), stage_id(desk, "base_clear")
    said = "Clear, slow: its data sheet asks for at least 22 °C (72 °F), not 20 °C (68 °F)"
    for where in (f"/jobs/{number}", f"/floor/stages/{stage}"):
        assert said in desk.text(where)
    assert said in card(desk, number)
    with desk.app.app_context(), transaction(db.session()) as session:
        kept = session.scalar(select(Material))
        assert kept is not None
        kept.sheet = {}
    assert "data sheet asks for" not in desk.text(f"/floor/stages/{stage}")
    assert "data sheet asks for" not in card(desk, number)

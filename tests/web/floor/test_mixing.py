"""Mixes and sprayings on the floor: another cup, one mix for several stages, and what the gun was really set to."""

import json

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.floor import SprayRecord
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_use, make_work
from tests.web.rendering import parse

CLEAR, OTHER = 1, 2


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    """Dana's phone: clear to mix on two cars."""
    with app.app_context(), transaction(db.session()) as session:
        for name, ml in (("Clear the bonnet", 160), ("Clear the door", 120)):
            stage = make_work(session, name)
            make_use(session, stage, "clear", ml * 2)
            make_use(session, stage, "clear_activator", ml)
            stage.mixes = json.dumps([{"code": "clear_medium", "name": "Clear", "ratio": "2 : 1", "batches": 1}])
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def words_of(page: str) -> str:
    return " ".join(parse(page).text_content().split())


def test_a_gun_set_outside_the_usual_is_kept_and_said(dana: ShopClient) -> None:
    fields = {"product": "clear_medium", "on": "2026-11-05", "coats": "2"}
    page = words_of(dana.press_on(f"/floor/stages/{CLEAR}/spray", **fields, overlap_percent="30", tip_mm="1.3"))
    assert "An overlap of 30 % is outside the usual 50 to 75 %." in page
    assert "A tip" not in page
    with dana.app.app_context():
        (gun,) = db.session.scalars(select(SprayRecord.gun))
    assert json.loads(gun) == {"coats": 2, "overlap_percent": 30.0, "tip_mm": 1.3}


def test_an_overlap_of_the_whole_is_refused_beside_its_field(dana: ShopClient) -> None:
    fields = {"product": "clear_medium", "on": "2026-11-05", "coats": "2"}
    answer = dana.press(f"/floor/stages/{CLEAR}/spray", **fields, overlap_percent="100")
    assert answer.status_code == 422
    assert "between 1 and 95 %" in answer.text

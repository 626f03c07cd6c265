"""The page of a car's colours: a spray-out card with its photo, folded formula, changed, removed, brought back."""

import io
import re

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.floor import ColourCard
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient, photo
from tests.makers.floor import at
from tests.makers.jobs import make_planned_job

NEW = "/floor/jobs/1/colour/new"
FIELDS = {"colour_code": "B 21", "variant": "3", "shade": "darker", "made_on": "2026-11-05", "verdict": "blend"}


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    with app.app_context(), transaction(db.session()) as session:
        make_planned_job(session)
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def cards(client: ShopClient) -> list[ColourCard]:
    with client.app.app_context():
        return list(db.session.scalars(select(ColourCard)))


def test_a_card_shows_picture_and_verdict_first_and_the_formula_folded(dana: ShopClient) -> None:
    assert "No card for this car yet." in dana.text("/floor/jobs/1/colour")
    page = dana.press_on(NEW, **FIELDS, formula="White 412.5\nBlack 30", photo=photo())
    told = " ".join(re.sub("<[^>]+>", " ", page).split())
    assert "Saved, formula of 2 lines." in told
    assert "Blend B21, variant 3, darker" in told
    assert "Total 442.5 g" in told
    assert page.index("/small") < page.index("Blend</span>") < page.index("<details", page.index("<main"))
    again = dana.text(NEW)
    assert 'value="B21"' in again
    assert "White 412.5" in again


def test_all_errors_are_said_at_once_and_nothing_typed_is_lost(dana: ShopClient) -> None:
    bad = io.BytesIO(b"<svg onload=alert(1)>")
    answer = dana.press(NEW, **FIELDS | {"coats": "40"}, photo=(bad, "x.png"))
    assert "x.png: " in answer.text
    assert answer.status_code == 422
    assert "Enter 1 to 20 coats." in answer.text
    assert 'value="darker"' in answer.text
    assert cards(dana) == []


def test_a_card_is_changed_and_removed_and_stands_on_the_car(dana: ShopClient) -> None:
    dana.press_on(NEW, **FIELDS, photo=photo())
    dana.press_on("/floor/colour-cards/1", **FIELDS | {"verdict": "match"})
    (card,) = cards(dana)
    assert (card.verdict, card.picture_id) == ("match", 1)
    with dana.app.app_context():
        vehicle_id = db.session.scalars(select(Job.vehicle_id)).one()
    assert "B21, variant 3, darker" in ShopClient(dana.app).signed_in_as("Noor").text(
        f"/customers/vehicles/{vehicle_id}"
    )
    page = dana.press_on("/floor/colour-cards/1/remove")
    assert "No card for this car yet." in page
    assert "Undo" in page

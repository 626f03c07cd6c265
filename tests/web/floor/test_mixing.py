"""Mixes and sprayings on the floor: another cup, one mix for several stages, and what the gun was really set to."""

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.floor import Mix, MixShare, SprayRecord
from shopbook.models.jobs import Stage
from shopbook.models.session import transaction
from shopbook.models.shelf import Pot
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
            stage.mixes = [{"code": "clear_medium", "name": "Clear", "ratio": "2 : 1", "pot_life_minutes": 50}]
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
    assert gun == {"coats": 2, "overlap_percent": 30.0, "tip_mm": 1.3}


def test_an_overlap_of_the_whole_is_refused_beside_its_field(dana: ShopClient) -> None:
    fields = {"product": "clear_medium", "on": "2026-11-05", "coats": "2"}
    answer = dana.press(f"/floor/stages/{CLEAR}/spray", **fields, overlap_percent="100")
    assert answer.status_code == 422
    assert "from 1 to 95 %" in answer.text


def test_a_mix_is_shown_again_for_a_cup_of_the_shops(dana: ShopClient) -> None:
    page = words_of(dana.text(f"/floor/stages/{CLEAR}/mixes/clear_medium/cup?cup=650000"))
    assert "Mix 650 ml clear, 2 : 1" in page
    assert "433 ml" in page
    assert "170 ml more than needed" in page
    assert f"/floor/stages/{CLEAR}/mixes/clear_medium/cup" in dana.text(f"/floor/stages/{CLEAR}")


def test_a_cup_too_small_is_filled_more_than_once(dana: ShopClient) -> None:
    page = words_of(dana.text(f"/floor/stages/{CLEAR}/mixes/clear_medium/cup?cup=180000"))
    assert "3 times, 540 ml total" in page


def test_one_mix_for_two_cars_counts_the_loss_once_and_is_shared_as_planned(dana: ShopClient) -> None:
    asked = f"/floor/stages/{CLEAR}/mixes/clear_medium/cup?together={OTHER}"
    page = words_of(dana.text(asked))
    assert "Mix 800 ml clear" in page
    assert "counts once, which saves 40 ml" in page
    assert "Only if all of it is sprayed within 50 min" in page
    form = dana.text(f"/floor/stages/{CLEAR}/mix?code=clear_medium&amount=800000&together={OTHER}")
    assert 'value="533"' in form
    fields = {"name": "Clear", "parts-0-material": "0", "parts-0-amount": "800", "left": "30"}
    ticks = {"shares-0-stage": str(CLEAR), "shares-0-is_on": "y", "shares-1-stage": str(OTHER), "shares-1-is_on": "y"}
    assert dana.press(f"/floor/stages/{CLEAR}/mix", **fields, **ticks).status_code == 303
    with dana.app.app_context():
        taken = dict(db.session.execute(select(MixShare.stage_id, MixShare.amount_thousandths)).all())
    assert taken == {CLEAR: 440_000, OTHER: 330_000}


@pytest.mark.parametrize("typed", ["0", "-5", "much"])
def test_an_amount_that_is_none_is_said_and_nothing_is_shown(dana: ShopClient, typed: str) -> None:
    answer = dana.text(f"/floor/stages/{CLEAR}/mixes/clear_medium/cup?amount={typed}")
    assert 'id="poured"' not in answer
    assert "errors" in answer


def test_a_mix_that_the_stage_has_not_is_a_page(dana: ShopClient) -> None:
    assert dana.get(f"/floor/stages/{CLEAR}/mixes/surfacer/cup").status_code == 404
    assert dana.get(f"/floor/stages/{CLEAR}/mix?code=surfacer").status_code == 404


def test_a_pot_life_too_short_shows_a_card_for_each_mix(dana: ShopClient) -> None:
    with dana.app.app_context(), transaction(db.session()) as session:
        stage = session.get_one(Stage, CLEAR)
        told = {"code": "clear_medium", "name": "Clear", "ratio": "2 : 1", "batches": 2, "cups_ml": [300, 180]}
        stage.mixes = [told]
    page = words_of(dana.text(f"/floor/stages/{CLEAR}"))
    assert "Mix 300 ml clear, 2 : 1, mix 1 of 2" in page
    assert "would pass its pot life" not in dana.text(f"/floor/stages/{CLEAR}/mixes/clear_medium/cup")
    assert "would run past its" in dana.text(f"/floor/stages/{CLEAR}/mixes/clear_medium/cup?amount=480")
    assert "Mix 180 ml clear, 2 : 1, mix 2 of 2" in page


def test_the_mix_card_shows_the_rule_of_thumb_the_coats_and_the_guns_set_up(dana: ShopClient) -> None:
    told = {"thumb_ml": [400, 512], "laid": ["2 × wet, 8 min"], "gun": ["Gun: tip 1.3 to 1.4 mm"]}
    with dana.app.app_context(), transaction(db.session()) as session:
        stage = session.get_one(Stage, CLEAR)
        stage.mixes = [{"code": "clear_medium", "name": "Clear", "ratio": "2 : 1", **told}]
    page = words_of(dana.text(f"/floor/stages/{CLEAR}"))
    for words in ("Rule of thumb for these panels: 400 to 512 ml", "2 × wet, 8 min", "Gun: tip 1.3 to 1.4 mm"):
        assert words in page


@pytest.mark.parametrize(("kept", "pots"), [({"is_kept": "y"}, [50_000]), ({}, [])])
def test_what_is_left_is_kept_in_a_pot_only_where_that_was_ticked(
    dana: ShopClient, kept: dict[str, str], pots: list[int]
) -> None:
    fields = {"name": "Clear", "parts-0-material": "0", "parts-0-amount": "200", "left": "50"}
    assert dana.press(f"/floor/stages/{CLEAR}/mix", **fields, **kept).status_code == 303
    with dana.app.app_context():
        assert list(db.session.scalars(select(Pot.amount_thousandths))) == pots
        assert list(db.session.scalars(select(Mix.left_thousandths))) == [50_000]

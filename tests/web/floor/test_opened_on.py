"""Before a mix: a batch out of date is told, and the first use of an activator asks when it was opened."""

from datetime import date

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.floor import Mix
from shopbook.models.jobs import Stage
from shopbook.models.session import transaction
from shopbook.models.shelf import Lot, Material
from shopbook.services.act import Act
from shopbook.services.shelf.counts import count_materials
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_use, make_work
from tests.makers.shelf import make_material

STAGE = "/floor/stages/1"


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    """Dana's phone on Nov 5: clear to mix, with an activator counted and never used."""
    with app.app_context(), transaction(db.session()) as session:
        stage = make_work(session, "Clear the bonnet")
        make_use(session, stage, "clear", 320)
        make_use(session, stage, "clear_activator", 160)
        stage.mixes = [{"code": "clear_medium", "name": "Clear", "ratio": "2 : 1", "pot_life_minutes": 50}]
        activator = session.scalars(select(Material).where(Material.role == "clear_activator")).first()
        activator = activator or make_material(session, "Activator", role="clear_activator")
        activator.opened_life_days = 75
        count_materials(Act(session, THE_PROGRAM, at("8:00")), [(activator.id, 1_000_000)])
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def the_lot(dana: ShopClient) -> Lot:
    with dana.app.app_context():
        return db.session.scalars(select(Lot).where(Lot.delivery_line_id.is_(None))).one()


def shown(page: str) -> dict[str, bool]:
    return {"opened": "opened on" in page, "past": "Out of date:" in page}


def test_done_as_planned_keeps_the_day_on_which_the_activator_was_opened(dana: ShopClient) -> None:
    field = f"opened_{the_lot(dana).id}"
    page = dana.text(STAGE)
    assert 'value="2026-11-05"' in page
    assert field in page
    dana.press(STAGE, **{field: "2026-10-01"})
    lot = the_lot(dana)
    assert (lot.opened_on, lot.is_opening_stock) == (date(2026, 10, 1), True)
    with dana.app.app_context():
        assert db.session.scalars(select(Stage.finished_at)).one() is not None


def test_a_day_to_come_is_refused_beside_its_field_and_nothing_is_half_done(dana: ShopClient) -> None:
    field = f"opened_{the_lot(dana).id}"
    for url, typed in (
        (STAGE, {}),
        (f"{STAGE}/mix", {"parts-0-material": "0", "parts-0-amount": "100"}),
    ):
        answer = dana.press(url, **typed | {field: "2026-11-06"})
        assert answer.status_code == 422
        assert "That day is in the future. Enter today or an earlier day." in answer.text
        assert 'value="2026-11-06"' in answer.text
    with dana.app.app_context():
        assert db.session.scalars(select(Mix)).all() == []
        assert db.session.scalars(select(Stage.finished_at)).one() is None
    assert the_lot(dana).opened_on is None


def test_what_is_out_of_date_is_told_before_the_mix_and_not_asked_again(dana: ShopClient) -> None:
    """Opened Aug 1, good for 75 days: out of date since Oct 15."""
    assert shown(dana.text(STAGE)) == {"opened": True, "past": False}
    with dana.app.app_context(), transaction(db.session()) as session:
        session.scalars(select(Lot).where(Lot.delivery_line_id.is_(None))).one().opened_on = date(2026, 8, 1)
    for url in (STAGE, f"{STAGE}/mix"):
        assert shown(dana.text(url)) == {"opened": False, "past": True}

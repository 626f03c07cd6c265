"""The page of air and waste: there when it is switched on, every figure deferring to sheet and rule."""

import pytest
from flask import Flask
from markupsafe import escape
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.models.shop import Book, DatedPaper
from shopbook.services.act import Act
from shopbook.services.floor.mixes import Poured, make_mix
from shopbook.services.shop.rates import set_settings
from shopbook.trade.air.voc import DEFERS
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.makers.floor import THURSDAY, at, make_work
from tests.makers.shelf import make_material


@pytest.fixture
def owner_client(app: Flask) -> ShopClient:
    """An owner whose shop keeps the record and has mixed once."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        set_settings(Act(opened, THE_PROGRAM, at("8:00")), {SettingName.SHOWS_AIR: True}, THURSDAY)
        surfacer = make_material(opened, "=Surfacer", role="surfacer")
        surfacer.sheet = {"voc_g_l": 540, "maker": "Somebody", "product_number": "S 1"}
        stage = make_work(opened)
        parts = [Poured("surfacer", 120_000, surfacer.id)]
        make_mix(Act(opened, THE_PROGRAM, at("9:00")), "Surfacer", parts, [(stage.id, 120_000)])
    return ShopClient(app).signed_in_as("Noor")


def test_the_record_is_not_there_until_it_is_switched_on(app: Flask) -> None:
    answer = ShopClient(app).signed_in_as("Noor").get("/air/2026-11")
    assert answer.status_code == 404
    assert "record is off" in answer.text


def test_a_mix_stands_beside_a_limit_that_is_its_makers_and_not_the_shops(owner_client: ShopClient) -> None:
    page = owner_client.text("/air/2026-11")
    assert "540 g/L" in page
    assert "580 g/L is the limit the product’s manufacturer must meet" in page
    assert "exceed" not in page
    assert page.count(escape(DEFERS)) >= 4
    assert "Solvent only. Filters, rags and sludge are extra." in page


def test_where_we_know_of_no_limit_the_page_says_so_and_shows_no_other_countrys(
    owner_client: ShopClient, app: Flask
) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Book).values(country="au", currency="AUD"))
    page = owner_client.text("/air/2026-11")
    assert "no manufacturers’ limit in Australia" in page
    assert "580 g/L" not in page


def test_a_shop_in_canada_sees_canadas_limit(owner_client: ShopClient, app: Flask) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Book).values(country="ca", currency="CAD"))
    page = owner_client.text("/air/2026-11")
    assert "Primer surfacer: 250 g/L is the limit the product’s manufacturer must meet (SOR/2009-197, schedule)" in page
    assert "580 g/L" not in page


def test_the_mixing_log_names_every_part_and_runs_in_no_spreadsheet(owner_client: ShopClient) -> None:
    lines = owner_client.get("/air/2026-11/mixing-log.csv").text.splitlines()
    assert lines[0].startswith("day,mix,job,coating category,product,maker,product number,")
    assert lines[1].split(",")[:2] == ["2026-11-05", "Surfacer"]
    assert ",'=Surfacer,Somebody,S 1,120,540,540,540," in lines[1]
    assert DEFERS in lines[-1] or DEFERS.replace(",", "") in lines[-1].replace(",", "").strip('"')


def test_a_paper_is_noted_changed_renewed_and_let_go(owner_client: ShopClient, app: Flask) -> None:
    page = owner_client.press_on("/air/papers/new", kind="mask_fit", whose="Dana", last_on="01/02/2026", months="")
    assert "Respirator fit test" in page
    with app.app_context():
        key = db.session.scalars(select(DatedPaper.id)).one()
        db.session.remove()
    page = owner_client.press_on(f"/air/papers/{key}", whose="Dana M", last_on="01/02/2026", months="9")
    assert "Dana M" in page
    assert "expired" in page
    page = owner_client.press_on(f"/air/papers/{key}/renew")
    assert "expired" not in page
    assert "Dana M" not in owner_client.press_on(f"/air/papers/{key}/end")


def test_a_paper_that_runs_out_stands_on_the_owners_today(owner_client: ShopClient) -> None:
    owner_client.press_on("/air/papers/new", kind="mask_fit", whose="Dana", last_on="11/01/2025", months="")
    assert "Respirator fit test, Dana" in owner_client.text("/today")


def test_a_paper_of_tomorrow_is_refused_beside_its_field_and_what_was_typed_stays(owner_client: ShopClient) -> None:
    answer = owner_client.press("/air/papers/new", kind="extinguisher", whose="bay 7", last_on="11/06/2026")
    assert answer.status_code == 422
    assert any("today or an earlier day" in each for each in sentences(answer.text))
    assert "bay 7" in answer.text


def test_the_desk_does_not_open_it(app: Flask, owner_client: ShopClient) -> None:
    assert ShopClient(app).signed_in_as("Desk").get("/air/2026-11").status_code == 403

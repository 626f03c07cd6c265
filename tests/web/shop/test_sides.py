"""The sides of a car are said one way on screen and paper: as is usual in the country, or as the shop chose."""

from datetime import date, datetime, timedelta
from io import BytesIO

import pytest
from flask import Flask
from pypdf import PdfReader

from shopbook.models.jobs import Damage
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db, writer
from tests.clients import ShopClient
from tests.conftest import NOON

KERB = {"panel": ["left_front_door"], "who": "555-0164", "price.left_front_door": "300.00"}
TOMORROW = NOON + timedelta(days=1)


def settle_in(app: Flask, country: str) -> None:
    with app.app_context(), writer() as session:
        get_book(session).country = country


def choose(app: Flask, way: str, day: date) -> None:
    with app.app_context(), writer() as session:
        set_settings(Act(session, THE_PROGRAM, NOON), {SettingName.CAR_SIDES: way}, day)


def set_clock(app: Flask, moment: datetime) -> None:
    app.config["CLOCK"] = lambda: moment


def paper_words(client: ShopClient, address: str) -> str:
    pages = PdfReader(BytesIO(client.get(address).data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize(
    ("country", "listed", "drawn", "floor"),
    [
        ("us", "Left front door", "driver side · left", "LH front door"),
        ("ca", "Left front door", "driver side · left", "LH front door"),
        ("gb", "Nearside front door", "nearside · left", "nearside front door"),
        ("other", "Left front door", "left", "left front door"),
    ],
)
def test_one_door_is_said_alike_on_every_page_and_paper(
    app: Flask, client: ShopClient, country: str, listed: str, drawn: str, floor: str
) -> None:
    settle_in(app, country)
    kerb = client.text("/jobs/kerb?panel=left_front_door")
    assert f"{listed}</h3>" in kerb
    assert f">{drawn}</text>" in kerb
    job = client.press_on("/jobs/kerb", **KERB)
    assert f"1 · {listed}" in job
    quote = client.text("/money/quotes/1")
    assert f"1 · {listed}" in quote
    assert f">{drawn}</text>" in quote
    assert f"{drawn.partition(' · ')[0]} at the bottom; marked: 1 {listed.lower()}" in quote
    paper = paper_words(client, "/money/quotes/1/pdf")
    assert f"1 · {listed}" in paper
    assert drawn.upper() in paper
    assert floor in paper_words(client, "/floor/jobs/1/card.pdf")


def test_a_chosen_way_holds_from_its_day_and_what_was_written_before_stays(app: Flask, client: ShopClient) -> None:
    settle_in(app, "gb")
    client.press_on("/jobs/kerb", **KERB)
    page = client.press_on("/settings/sides", car_sides="left_right", from_on=TOMORROW.date().isoformat())
    assert "Sides of a car saved." in page
    assert "from 6 Nov" in page
    assert "Nearside front door</h3>" in client.text("/jobs/kerb?panel=left_front_door")
    set_clock(app, TOMORROW)
    assert "Left front door</h3>" in client.text("/jobs/kerb?panel=left_front_door")
    assert "1 · Left front door" in client.text("/jobs/1")
    assert "1 · Nearside front door" in client.text("/money/quotes/1"), "the words of a quote are its own"


def test_a_mark_keeps_its_panel_whatever_the_drawing_and_the_words_are(app: Flask, client: ShopClient) -> None:
    client.press_on("/jobs/kerb", **KERB)
    settle_in(app, "other")
    choose(app, "nearside_right", NOON.date())
    with app.app_context():
        assert db.session().get_one(Damage, 1).panel == "left_front_door"
        db.session.remove()
    page = client.text("/jobs/1/damage/new")
    assert "1 · Offside front door" in client.text("/jobs/1")
    assert '<option value="left_front_door">Offside front door</option>' in page


def test_where_sides_are_said_in_one_way_there_is_no_page_for_it_and_no_other_way(
    app: Flask, client: ShopClient
) -> None:
    assert "Sides of a car" not in client.text("/settings")
    assert client.get("/settings/sides").status_code == 404
    choose(app, "nearside_left", NOON.date())
    assert "Left front door</h3>" in client.text("/jobs/kerb?panel=left_front_door")


def test_a_way_that_is_not_said_in_the_country_is_refused(app: Flask, client: ShopClient) -> None:
    settle_in(app, "gb")
    answer = client.press("/settings/sides", car_sides="nearside_right")
    assert answer.status_code == 422
    assert "Choose one from the list" in answer.text
    page = client.text("/settings/sides")
    assert 'selected value="nearside_left"' in page
    assert "Nearside (left), offside" in page
    assert "Nearside (right)" not in page

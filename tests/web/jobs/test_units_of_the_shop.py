"""What the trade says of a job stands in the units that the shop has set, on its page, its card and in its log."""

import pytest
from flask import Flask

from shopbook.models.session import transaction
from shopbook.models.shop import Book
from shopbook.queries.shop.log import list_job_log
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.jobs import make_damage, make_planned_job

READ = {"film": "mil", "length": "in", "area": "ft2", "volume": "floz", "mass": "oz", "temperature": "f"}


@pytest.fixture
def shop(app: Flask) -> ShopClient:
    """A shop that reads mil, inches and fluid ounces, with a planned job of one door."""
    with app.app_context(), transaction(db.session()) as session:
        session.get_one(Book, 1).units = READ
        make_damage(session, make_planned_job(session), "bonnet")
    return ShopClient(app).signed_in_as("Noor")


def test_a_reading_is_said_in_mil_on_the_page_and_in_the_log(shop: ShopClient) -> None:
    page = shop.press_on("/jobs/1/reading", panel="right_front_door", spot="middle", value="30")
    assert "30 mil, filler underneath" in page
    assert "µm, filler" not in page
    with shop.app.app_context():
        words = [line.words for line in list_job_log(db.session(), 1)]
        db.session.remove()
    assert "Measured 30 mil" in words


def test_a_refused_reading_names_the_bounds_in_mil(shop: ShopClient) -> None:
    answer = shop.press("/jobs/1/reading", panel="right_front_door", spot="", value="2000")
    assert answer.status_code == 422
    assert "between 0 and 984.3 mil" in answer.text


def test_mixes_and_reasons_of_a_plan_stand_in_fluid_ounces_and_inches(shop: ShopClient) -> None:
    page = shop.text("/jobs/1")
    assert " fl oz" in page
    assert [unit for unit in (" ml<", " ml ", " ml.", " mm ", " m² ") if unit in page] == []


def test_the_small_dents_of_a_price_at_the_car_are_sized_in_inches(shop: ShopClient) -> None:
    page = shop.text("/jobs/kerb?panel=bonnet")
    assert "up to 0.79 in" in page or "up to 0.98 in" in page
    assert " mm</option>" not in page

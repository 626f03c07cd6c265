"""The page on which two customers are merged, the press that parts them, and the question about a known plate."""

from typing import Any

import pytest
from sqlalchemy import select

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import make_job
from tests.makers.customers import make_customer, make_vehicle

CAR: dict[str, Any] = {"plate": "NQ 77 KD", "description": "wagon", "finish": "", "colour_hex": ""}


@pytest.fixture
def twice(client: ShopClient) -> ShopClient:
    """Customer 1, Ines Okafor; customer 2, I. Okafor with job 1."""
    with client.app.app_context(), transaction(db.session()) as session:
        make_customer(session, "Ines Okafor", "555-0142")
        make_job(session, NOON, make_customer(session, "Ines Okafor", "555-0188"))
        db.session.expunge_all()
    return client


def column(client: ShopClient, asked: Any) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(asked).order_by(asked.class_.id)))


def test_who_has_the_same_name_is_offered_and_merged_and_parted_again(twice: ShopClient) -> None:
    assert 'href="/customers/1/merge"' in twice.text("/customers/1")
    assert "555-0188" in twice.text("/customers/1/merge")
    page = twice.press_on("/customers/1/merge", who="", known="2")
    assert "Job 1" in page
    assert "Merged into this customer" in page
    assert twice.text("/customers/").count("Ines Okafor") == 1
    assert twice.get("/customers/2").headers["Location"] == "/customers/1"
    assert 'href="/customers/1"' in twice.text("/jobs/1")
    page = twice.press_on("/customers/2/part")
    assert "Job 1" in page
    assert "Job 1" not in twice.text("/customers/1")


def test_nobody_chosen_and_a_customer_who_is_not_offered_are_refused(twice: ShopClient) -> None:
    for known in ("", "1", "99", "new"):
        assert twice.press("/customers/1/merge", who="Ines Okafor", known=known).status_code == 422
    assert column(twice, Customer.merged_into_id) == [None, None]


def test_a_second_press_of_parting_says_that_it_was_done(twice: ShopClient) -> None:
    twice.press_on("/customers/1/merge", known="2")
    twice.press_on("/customers/2/part")
    answer = twice.press("/customers/2/part")
    assert answer.status_code == 303
    assert "merged into nobody" in twice.text("/customers/2")


@pytest.fixture
def wagon(client: ShopClient) -> ShopClient:
    """Customer 1, Rena Kolb, with a grey wagon; customer 2 without a car."""
    with client.app.app_context(), transaction(db.session()) as session:
        rena = make_customer(session, "Rena Kolb", "555-0164")
        make_vehicle(session, rena, plate="NQ 77 KD", colour_name="grey", description="wagon")
        make_customer(session, "Otto Lind", "555-0190")
        db.session.expunge_all()
    return client


def test_a_known_plate_is_asked_about_and_another_car_is_added(wagon: ShopClient) -> None:
    answer = wagon.press("/customers/vehicles/new?owner=2", **CAR)
    assert answer.status_code == 422
    assert "This plate belongs to Rena Kolb’s grey wagon: same car?" in answer.text
    assert 'value="NQ 77 KD"' in answer.text
    wagon.press_on("/customers/vehicles/new?owner=2", **CAR, same_car="another")
    assert column(wagon, Vehicle.customer_id) == [1, 2]


def test_the_same_car_becomes_the_new_customers(wagon: ShopClient) -> None:
    page = wagon.press_on("/customers/vehicles/new?owner=2", **CAR, same_car="same")
    assert "Otto Lind" in page
    assert column(wagon, Vehicle.customer_id) == [2]


def test_a_plate_that_is_changed_to_a_known_one_is_asked_about(wagon: ShopClient) -> None:
    wagon.press_on("/customers/vehicles/new?owner=2", **(CAR | {"plate": "OT 1"}))
    answer = wagon.press("/customers/vehicles/2/change", **CAR, revision="1")
    assert (answer.status_code, "same car?" in answer.text) == (422, True)
    page = wagon.press_on("/customers/vehicles/2/change", **CAR, revision="1", same_car="same")
    assert "Rena Kolb" in page
    assert column(wagon, Vehicle.plate) == ["NQ 77 KD", "OT 1"]
    wagon.press_on("/customers/vehicles/2/change", **CAR, revision="1", same_car="another")
    assert column(wagon, Vehicle.plate) == ["NQ 77 KD", "NQ 77 KD"]


def test_a_car_that_keeps_its_plate_is_not_asked_about(wagon: ShopClient) -> None:
    wagon.press_on("/customers/vehicles/new?owner=2", **CAR, same_car="another")
    wagon.press_on("/customers/vehicles/2/change", **(CAR | {"description": "estate"}), revision="1")
    assert column(wagon, Vehicle.description) == ["wagon", "estate"]

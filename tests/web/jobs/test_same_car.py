"""A plate that somebody else's car has is asked about wherever a car is typed: booking in, at the kerb, checking in."""

from typing import Any

import pytest
from sqlalchemy import select

from shopbook.models.customers import Vehicle
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.customers import make_customer, make_vehicle

ASKED = "This plate belongs to Rena Kolb’s grey wagon: same car?"
BOOKED = {"wrong": "A scrape on the door", "payer_kind": "private", "purpose": "paid", "drop_off_half": ""}
OTTO = {"who": "Otto Lind 555-0190", "plate": "nq77kd", "car": "wagon"}


@pytest.fixture
def wagon(client: ShopClient) -> ShopClient:
    with client.app.app_context(), transaction(db.session()) as session:
        rena = make_customer(session, "Rena Kolb", "555-0164")
        make_vehicle(session, rena, plate="NQ 77 KD", colour_name="grey", description="wagon")
        db.session.expunge_all()
    return client


def cars(client: ShopClient) -> list[tuple[int | None, str]]:
    with client.app.app_context():
        rows = db.session.scalars(select(Vehicle).order_by(Vehicle.id))
        return [(car.customer_id, car.plate) for car in rows]


def jobs(client: ShopClient) -> list[tuple[int | None, int | None]]:
    with client.app.app_context():
        return [(job.customer_id, job.vehicle_id) for job in db.session.scalars(select(Job).order_by(Job.id))]


FORMS: list[tuple[str, dict[str, Any]]] = [("/jobs/book-in", BOOKED), ("/jobs/kerb", {"panel": "bonnet"})]


@pytest.mark.parametrize(("url", "fields"), FORMS)
def test_it_is_asked_and_nothing_is_kept_until_it_is_answered(
    wagon: ShopClient, url: str, fields: dict[str, Any]
) -> None:
    answer = wagon.press(url, **fields, **OTTO)
    assert (answer.status_code, ASKED in answer.text, 'name="same_car"' in answer.text) == (422, True, True)
    assert (jobs(wagon), cars(wagon)) == ([], [(1, "NQ 77 KD")])
    wagon.press_on(url, **fields, **OTTO, same_car="another")
    assert cars(wagon) == [(1, "NQ 77 KD"), (2, "nq77kd")]
    assert jobs(wagon) == [(2, 2)]


@pytest.mark.parametrize(("url", "fields"), FORMS)
def test_the_same_car_comes_with_who_brings_it_now(wagon: ShopClient, url: str, fields: dict[str, Any]) -> None:
    wagon.press_on(url, **fields, **OTTO, same_car="same")
    assert cars(wagon) == [(2, "NQ 77 KD")]
    assert jobs(wagon) == [(2, 1)]


def test_it_is_asked_when_the_car_is_named_at_check_in(wagon: ShopClient) -> None:
    wagon.press_on("/jobs/book-in", **BOOKED, who="Otto Lind 555-0190")
    facts = {"revision": "1", "place_id": "0", "plate": "NQ 77 KD", "car": "wagon"}
    assert ASKED in wagon.press("/jobs/1/check-in", **facts).text
    wagon.press_on("/jobs/1/check-in", **facts, same_car="same")
    assert jobs(wagon) == [(2, 1)]
    wagon.press_on("/jobs/1/check-in", revision="3", place_id="0", key_number="4")


def test_the_customers_own_car_is_not_asked_about(wagon: ShopClient) -> None:
    wagon.press_on("/jobs/book-in", **BOOKED, who="Rena Kolb 555-0164", plate="NQ77KD")
    assert jobs(wagon) == [(1, 1)]

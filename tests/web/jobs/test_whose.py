"""What is said of a job after it was opened: its car, who brings it, that it comes to nothing."""

from typing import Any

import pytest
from sqlalchemy import select

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers import make_customer, make_vehicle

BOOKED = {"wrong": "A scrape on the door", "payer_kind": "private", "purpose": "paid", "drop_off_half": ""}


@pytest.fixture
def called(client: ShopClient) -> ShopClient:
    """Job 1: a name on the phone and a scrape; job 2: a plate and nobody."""
    client.press_on("/jobs/book-in", who="Mia Brandt", **BOOKED)
    client.press_on("/jobs/book-in", who="NEW 1", **BOOKED)
    return client


def rows(client: ShopClient, model: type[Any]) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(model).order_by(model.id)))


def test_the_car_is_named_when_it_is_checked_in(called: ShopClient) -> None:
    assert 'href="/jobs/1/whose"' in called.text("/jobs/1")
    facts = {"revision": "1", "place_id": "0", "key_number": "4"}
    page = called.press_on("/jobs/1/check-in", **facts, plate="KTR 204", car="blue hatchback")
    for words in ("blue hatchback", "plate KTR 204", ">4<"):
        assert words in page
    assert 'name="plate"' not in called.text("/jobs/1/check-in")
    assert rows(called, Vehicle)[1].customer_id == 1
    assert "Job 1" in called.text("/jobs/find?q=ktr204")


def test_a_car_that_was_nobodys_becomes_the_customers(called: ShopClient) -> None:
    called.press_on("/jobs/2/whose", revision="1", who="Otto Lind 555-0190")
    assert rows(called, Vehicle)[0].customer_id == rows(called, Job)[1].customer_id == 2
    assert "NEW 1" in called.text("/jobs/find?q=0190")


def test_one_of_the_customers_cars_is_pointed_at(called: ShopClient) -> None:
    with called.app.app_context(), transaction(db.session()) as session:
        make_vehicle(session, session.get_one(Customer, 1))
        db.session.expunge_all()
    assert "KTR 204" in called.text("/jobs/1/whose")
    called.press_on("/jobs/1/whose", revision="1", known="v2")
    assert rows(called, Job)[0].vehicle_id == 2
    assert len(rows(called, Vehicle)) == 2


def test_a_name_of_the_book_is_asked_about_and_pointed_at(called: ShopClient) -> None:
    assert "already in the book. Choose" in called.press("/jobs/2/whose", revision="1", who="mia brandt").text
    called.press_on("/jobs/2/whose", revision="1", who="mia brandt", known="c1")
    assert rows(called, Job)[1].customer_id == 1


def test_nothing_said_and_a_stale_page_are_refused(called: ShopClient) -> None:
    assert "Enter the customer or the car" in called.press("/jobs/1/whose", revision="1").text
    called.press_on("/jobs/1/whose", revision="1", plate="KTR 204")
    assert called.press("/jobs/1/whose", revision="1", plate="XYZ 9").status_code in {409, 422}
    assert len(rows(called, Vehicle)) == 2


def test_calling_off_says_what_was_paid_and_leads_to_the_money(called: ShopClient) -> None:
    called.press_on("/jobs/kerb", panel="bonnet", who="Otto Lind")
    assert "was paid for it" not in called.text("/jobs/3/call-off")
    called.press_on("/money/jobs/3/deposit", amount="50", means="cash", treatment="")
    assert "$50.00 was paid for it" in called.text("/jobs/3/call-off")
    answer = called.press("/jobs/3/call-off", why="price")
    assert answer.headers["Location"] == "/jobs/3#money"


def test_a_customer_of_two_jobs_is_kept_apart_by_phone(called: ShopClient) -> None:
    with called.app.app_context(), transaction(db.session()) as session:
        make_customer(session, "Mia Brandt", "555-0199")
        db.session.expunge_all()
    called.press_on("/jobs/2/whose", revision="1", who="Mia Brandt 555-0199")
    assert rows(called, Job)[1].customer_id == 2

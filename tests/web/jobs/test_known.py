"""People and cars that the book knows already: offered where they are typed again, found with how their jobs stand."""

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
def known(client: ShopClient) -> ShopClient:
    """Ines Okafor (1) with her hatchback KTR 204 (1), and another of that name (2) without a car."""
    with client.app.app_context(), transaction(db.session()) as session:
        make_vehicle(session, make_customer(session))
        make_customer(session, "Ines Okafor", "555-0188")
        db.session.expunge_all()
    return client


def rows(client: ShopClient, model: type[Any]) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(model).order_by(model.id)))


def whose(client: ShopClient) -> tuple[int | None, int | None]:
    """Customer and car of the newest job."""
    job = rows(client, Job)[-1]
    return job.customer_id, job.vehicle_id


def make_phone_begin_with_the_number(client: ShopClient) -> None:
    with client.app.app_context(), transaction(db.session()) as session:
        make_customer(session, "Mia Brandt", "15 55 01 77")


def test_a_name_that_stands_in_the_book_is_asked_about_once(known: ShopClient) -> None:
    asked = known.press("/jobs/book-in", who="ines  OKAFOR", **BOOKED)
    assert asked.status_code == 422
    assert "already in the book" in asked.text
    for words in ("KTR 204", "555-0142: another car", "Ines Okafor · 555-0188", "Someone else with that name"):
        assert words in asked.text
    assert not rows(known, Job)


@pytest.mark.parametrize(
    ("choice", "expected"), [("v1", (1, 1)), ("c1", (1, None)), ("c2", (2, None)), ("new", (3, None))]
)
def test_who_is_pointed_at_is_who_the_job_is_for(
    known: ShopClient, choice: str, expected: tuple[int, int | None]
) -> None:
    known.press_on("/jobs/book-in", who="Ines Okafor", known=choice, **BOOKED)
    assert whose(known) == expected


def test_a_customer_of_the_book_comes_with_another_car(known: ShopClient) -> None:
    known.press_on("/jobs/book-in?owner=1", car="red van", plate="NEW 1", **BOOKED)
    assert whose(known) == (1, 2)
    assert [car.plate for car in rows(known, Vehicle)] == ["KTR 204", "NEW 1"]


def test_a_dealers_car_is_booked_in_as_the_dealers(known: ShopClient) -> None:
    known.press_on("/customers/2/change", revision="1", name="Ines Okafor", phone="555-0188", kind="dealer")
    assert '<option selected value="dealer">' in known.text("/jobs/book-in?owner=2")
    assert '<option selected value="private">' in known.text("/jobs/book-in?owner=1")


def test_half_a_name_is_offered_and_forces_nothing(known: ShopClient) -> None:
    assert "KTR 204" in known.text("/jobs/kerb?panel=bonnet&who=Okafor")
    known.press_on("/jobs/book-in", who="Okafor", **BOOKED)
    assert [one.name for one in rows(known, Customer)][-1] == "Okafor"


def test_a_choice_that_was_not_offered_counts_for_nothing(known: ShopClient) -> None:
    known.press_on("/jobs/book-in", who="Mia Brandt", known="v1", **BOOKED)
    assert whose(known) == (3, None)
    known.press_on("/jobs/book-in", who="555-0142", known="c2", **BOOKED)
    assert whose(known) == (1, None)


def test_a_kerb_price_is_for_the_car_that_was_pointed_at(known: ShopClient) -> None:
    known.press_on("/jobs/kerb", panel="bonnet", who="555-0142", known="v1")
    assert whose(known) == (1, 1)


def test_a_new_car_takes_its_plate_from_the_form_and_a_known_one_is_not_doubled(known: ShopClient) -> None:
    known.press_on("/jobs/book-in", who="Mia Brandt 555-0177", plate="abc 12", **BOOKED)
    known.press_on("/jobs/book-in", who="555-0177", plate="ABC-12", **BOOKED)
    assert whose(known) == (3, 2)
    assert len(rows(known, Vehicle)) == 2


def test_the_pages_of_customer_and_car_say_how_their_jobs_stand(known: ShopClient) -> None:
    known.press_on("/jobs/book-in?vehicle=1", drop_off_on="2026-11-06", **BOOKED)
    for place in ("/customers/1", "/customers/vehicles/1", "/jobs/find?q=ktr204"):
        page = known.text(place)
        for words in ('href="/jobs/1"', "A scrape on the door", "comes tomorrow", "booked in"):
            assert words in page, (place, words)
    known.press_on("/jobs/1/check-in", revision="2", place_id="0", key_number="4")
    assert "no day promised" in known.text("/jobs/find?q=okafor")


def test_a_number_that_only_one_job_answers_to_leads_to_it(known: ShopClient) -> None:
    known.press_on("/jobs/book-in?vehicle=1", **BOOKED)
    assert known.get("/jobs/find?q=1").headers.get("Location") == "/jobs/1"
    make_phone_begin_with_the_number(known)
    assert "Job 1" in known.text("/jobs/find?q=1")


def test_what_is_found_nowhere_is_one_press_from_a_price(known: ShopClient) -> None:
    page = known.text("/jobs/find?q=Zoë")
    assert 'href="/jobs/kerb?who=Zo%C3%AB"' in page
    assert 'value="Zoë"' in known.text("/jobs/book-in?who=Zo%C3%AB")

"""Claims about what every request passes: whose key it is, what an address may hold, who left, what the floor sees."""

import re
import secrets
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.app import version_of
from shopbook.models.session import transaction
from shopbook.models.shop import Device, Person
from shopbook.outside.passwords import hash_token
from shopbook.web.parts.act import db
from shopbook.web.parts.guards import DEVICE_COOKIE
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_customer, make_vehicle
from tests.makers.jobs import make_planned_job

TOO_LARGE = (2**31, 2**63, 10**30)


@pytest.fixture
def job_number(app: Flask) -> int:
    """A job in work whose owner gave no name, only a phone number."""
    with app.app_context(), transaction(db.session()) as opened:
        owner = make_customer(opened, name="", phone="555-0147")
        car = make_vehicle(opened, owner)
        return make_planned_job(opened, customer_id=owner.id, vehicle_id=car.id, is_agreed=True).number


@pytest.mark.parametrize("number", TOO_LARGE)
@pytest.mark.parametrize(
    "address", ["/customers/{}", "/jobs/{}", "/people/{}", "/money/invoices/{}", "/shelf/{}/waste"]
)
def test_a_number_that_no_column_holds_is_no_address(client: ShopClient, address: str, number: int) -> None:
    assert client.get(address.format(number)).status_code == 404


@pytest.mark.parametrize("number", [*TOO_LARGE, -1, "x"])
@pytest.mark.parametrize("address", ["/log?before={}", "/money/invoices?before={}", "/floor/day?person={}"])
def test_a_number_behind_the_address_that_no_column_holds_is_passed_over(
    client: ShopClient, address: str, number: object
) -> None:
    assert client.get(address.format(number)).status_code == 200


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "1999-12-31"])
def test_a_day_far_off_is_no_page(client: ShopClient, day: str) -> None:
    assert client.get(f"/floor/day?on={day}").status_code == 404
    ends = "9999-12-31T23:59:59-14:00"
    assert client.get(f"/floor/day/else?begins={day}T00:00:00%2B14:00&ends={ends}").status_code == 404


def test_a_null_letter_is_refused_wherever_it_stands(client: ShopClient) -> None:
    assert client.get("/jobs/find?q=%00").status_code == 400
    assert client.get("/settings/standards/%00").status_code == 400
    assert client.press("/customers/new", name="A\0B", phone="555-0101").status_code == 400


def test_a_key_longer_than_any_form_makes_is_refused(client: ShopClient) -> None:
    assert client.press("/floor/here", key="k" * 201).status_code == 403


def test_the_key_of_somebody_else_does_nothing_and_leads_nowhere(app: Flask, client: ShopClient) -> None:
    key = secrets.token_hex(16)
    assert (
        client.press("/customers/new", key=key, name="Ines Okafor", phone="555-0101", kind="private").status_code == 303
    )
    desk = ShopClient(app).signed_in_as("Desk")
    answer = desk.press("/customers/new", key=key, name="Sam Field", phone="555-0102", kind="private")
    assert answer.status_code == 409
    assert "Ines Okafor" not in answer.text
    assert "Sam Field" in answer.text


def test_a_key_that_was_used_for_another_act_is_no_second_press(client: ShopClient) -> None:
    key = secrets.token_hex(16)
    assert (
        client.press("/customers/new", key=key, name="Ines Okafor", phone="555-0101", kind="private").status_code == 303
    )
    client.press("/floor/here", key=key)
    assert "Nothing was done" in client.text("/floor/")


def test_the_second_press_of_one_form_leads_where_the_first_did(client: ShopClient) -> None:
    key = secrets.token_hex(16)
    given = {"name": "Ines Okafor", "phone": "555-0101", "kind": "private"}
    first, second = (client.press("/customers/new", key=key, **given) for _ in range(2))
    assert first.status_code == second.status_code == 303
    assert first.headers["Location"] == second.headers["Location"]


def test_the_device_of_somebody_who_left_opens_nothing(app: Flask) -> None:
    with app.app_context(), transaction(db.session()) as opened:
        dana = opened.scalars(select(Person).where(Person.name == "Dana")).one()
        opened.add(Device(token_hash=hash_token("t"), name="Phone", person_id=dana.id, since_at=NOON))
    phone = ShopClient(app)
    phone.http.set_cookie(DEVICE_COOKIE, "t")
    assert phone.get("/floor/").status_code == 200
    with app.app_context(), transaction(db.session()) as opened:
        opened.scalars(select(Person).where(Person.name == "Dana")).one().is_active = False
    assert phone.get("/floor/").status_code == 302


def test_the_floor_sees_no_customers_phone_number(app: Flask, client: ShopClient, job_number: int) -> None:
    floor = ShopClient(app).signed_in_as("Dana")
    for page in ("/jobs/", f"/jobs/{job_number}", f"/jobs/{job_number}/plan", "/floor/"):
        assert "555-0147" not in floor.text(page)
    assert "555-0147" in client.text(f"/jobs/{job_number}")


def test_a_failed_statement_is_told_without_what_was_typed(app: Flask) -> None:
    with app.app_context():
        assert db.engine.hide_parameters


def test_what_a_page_loads_is_kept_for_good_under_a_name_of_what_it_holds(app: Flask, tmp_path: Path) -> None:
    client = ShopClient(app)
    module = re.findall(r'src="(/static/[^"]+/press\.js)"', client.text("/sign-in"))[0]
    with client.get(module) as answer:
        control = answer.cache_control
        assert (control.max_age, control.public, control.immutable) == (31_536_000, True, True)
        beside = re.findall(r'from "\./(\w+\.js)"', answer.text)
    assert beside, "it imports modules from the same folder, which is of the same version"
    for name in beside:
        with client.get(module.replace("press.js", name)) as answer:
            assert answer.status_code == 200
    (tmp_path / "a.js").write_text("one")
    first = version_of(tmp_path)
    assert first == version_of(tmp_path)
    (tmp_path / "a.js").write_text("two")
    assert version_of(tmp_path) != first

"""The owner keeps the people; everybody keeps their own password and PIN."""

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shop import Person
from shopbook.outside.passwords import hash_password, is_password, is_pin
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences

EVE = {"name": "Eve", "roles": ["technician", "desk"], "skills": ["paint"], "weekly_minutes": "37.5", "cost": "31.50"}


def person_named(app: Flask, name: str) -> Person:
    with app.app_context():
        found = db.session.scalars(select(Person).where(Person.name == name)).one()
        db.session.expunge_all()
        db.session.remove()
    return found


def test_a_person_is_added_with_everything_that_was_typed(app: Flask, client: ShopClient) -> None:
    page = client.press_on("/people/new", **(EVE | {"pin": "4711", "password": "a sentence to keep"}))
    for said in ("Eve", "Front desk, Technician", "37.5 h", "$31.50", "password and PIN"):
        assert said in page
    eve = person_named(app, "Eve")
    assert is_pin("4711", eve.pin_hash, app.config["SECRET_KEY"])
    assert is_password("a sentence to keep", eve.password_hash)


def test_what_an_hour_costs_is_worked_out_of_a_years_pay(client: ShopClient) -> None:
    """employercosts.com labor burden, 2026, Texas: 75,000 and 6,079 on top over 2,080 hours are 38.98 an hour."""
    pay = {"weekly_minutes": "40", "wages": "75000", "on_top": "6079"}
    assert "$38.98" in client.press_on("/people/new", **(EVE | pay))
    answer = client.press("/people/new", **(EVE | pay | {"name": "Ada", "weekly_minutes": "0"}))
    assert answer.status_code == 422
    assert any("Enter the paid hours" in said for said in sentences(answer.text))


def test_a_form_pressed_twice_adds_one_person(client: ShopClient) -> None:
    answers = [client.press("/people/new", key="one form", **EVE) for _ in range(2)]
    assert [answer.headers["Location"] for answer in answers] == ["/people", "/people"]
    assert client.text("/people").count(">Eve<") == 1


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", " ", "Enter the person"),
        ("name", "Dana", "has or had that name"),
        ("name", " dANA ", "has or had that name"),
        ("name", "x" * 300, "at most 200 characters"),
        ("roles", [], "Choose at least one role"),
        ("roles", ["king"], "Choose from the list"),
        ("weekly_minutes", "a lot", "Enter hours from 0 to 168"),
        ("weekly_minutes", "-3", "Enter hours from 0 to 168"),
        ("cost", "-1", "not below zero"),
        ("cost", "much", "Enter an amount"),
        ("pin", "12", "4 to 8 digits"),
        ("pin", "١٢٣٤", "4 to 8 digits"),
        ("pin", "0000", "guessed first"),
        ("pin", "1234", "guessed first"),
        ("password", "short", "at least 10 characters"),
        ("cost_from_on", "never", "Enter a day, for example"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_adds_nobody(
    client: ShopClient, field: str, typed: object, sentence: str
) -> None:
    answer = client.press("/people/new", **(EVE | {field: typed}))
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)
    assert ">Eve<" not in client.text("/people")


def test_a_stale_page_of_a_person_is_a_conflict(app: Flask, client: ShopClient) -> None:
    dana = person_named(app, "Dana").id
    given = {"revision": "1", "name": "Dana", "roles": ["technician"], "is_active": "y"}
    assert client.press(f"/people/{dana}", **given).status_code == 303
    assert client.press(f"/people/{dana}", **given).status_code == 409


def test_the_last_owner_cannot_leave(app: Flask, client: ShopClient) -> None:
    noor = person_named(app, "Noor").id
    answer = client.press(f"/people/{noor}", revision="1", name="Noor", roles=["owner"])
    assert answer.status_code == 422
    assert any("needs an owner" in said for said in sentences(answer.text))


def test_only_the_owner_keeps_people_and_settings(app: Flask) -> None:
    for name in ("Desk", "Dana"):
        client = ShopClient(app).signed_in_as(name)
        for url in ("/people", "/people/new", "/settings", "/settings/money", "/settings/taxes", "/log"):
            assert client.get(url).status_code == 403


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """The desk, signed in, with a password."""
    with app.app_context(), transaction(db.session()) as opened:
        opened.scalars(select(Person).where(Person.name == "Desk")).one().password_hash = hash_password(
            "until now it is"
        )
    return ShopClient(app).signed_in_as("Desk")


def test_a_new_password_of_ones_own_keeps_this_sign_in_and_ends_the_others(app: Flask, desk: ShopClient) -> None:
    other = ShopClient(app).signed_in_as("Desk")
    given = {"current": "until now it is", "fresh": "from now on this", "again": "from now on this"}
    assert desk.press("/account/password", **given).status_code == 303
    assert desk.get("/account").status_code == 200
    assert other.get("/account").status_code == 302


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"current": "something else"}, "Try again"),
        ({"again": "another one here"}, "do not match"),
        ({"fresh": "short", "again": "short"}, "at least 10 characters"),
    ],
)
def test_ones_own_password_changes_only_by_the_old_one(desk: ShopClient, given: dict[str, str], sentence: str) -> None:
    known = {"current": "until now it is", "fresh": "from now on this", "again": "from now on this"}
    answer = desk.press("/account/password", **(known | given))
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text))


def test_ones_own_pin_is_set_by_the_password(app: Flask, desk: ShopClient) -> None:
    assert desk.press("/account/pin", current="wrong one", fresh="4711").status_code == 422
    assert desk.press("/account/pin", current="until now it is", fresh="4711").status_code == 303
    assert is_pin("4711", person_named(app, "Desk").pin_hash, app.config["SECRET_KEY"])
    assert desk.press("/account/pin", current="4711", fresh="1174").status_code == 303
    refused = desk.press("/account/pin", current="1174", fresh="0000")
    assert refused.status_code == 422
    assert any("guessed first" in said for said in sentences(refused.text))

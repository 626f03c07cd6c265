"""A device that stays signed in: a name is tapped, a PIN changes person, the desk's rights are never in it."""

import re

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shop import Person
from shopbook.outside.passwords import hash_password, hash_pin, is_password, is_pin
from shopbook.web.parts.act import db
from shopbook.web.parts.guards import DEVICE_COOKIE
from tests.clients import ShopClient, sentences


@pytest.fixture
def ids(app: Flask) -> dict[str, int]:
    """Everybody's number; Noor and Dana have PINs."""
    with app.app_context(), transaction(db.session()) as opened:
        people = {person.name: person for person in opened.scalars(select(Person))}
        people["Noor"].pin_hash = hash_pin("2468", app.config["SECRET_KEY"])
        people["Dana"].pin_hash = hash_pin("1357", app.config["SECRET_KEY"])
        return {name: person.id for name, person in people.items()}


@pytest.fixture
def phone(app: Flask, ids: dict[str, int]) -> ShopClient:
    """A phone that the owner enrolled and then signed out of."""
    client = ShopClient(app).signed_in_as("Noor")
    client.press("/devices", name="Phone at bay 1")
    client.press("/sign-out")
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    return client


def take(phone: ShopClient, person_id: int, pin: str) -> int:
    status = phone.press(f"/who/{person_id}", pin=pin).status_code
    with phone.http.session_transaction() as kept:
        kept["csrf"] = "token"
    return status


def test_the_devices_token_is_out_of_reach_of_scripts_and_other_sites(app: Flask, ids: dict[str, int]) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    client.press("/devices", name="Phone at bay 1")
    cookie = client.http.get_cookie(DEVICE_COOKIE)
    assert cookie is not None
    assert cookie.http_only
    assert cookie.same_site == "Lax"
    assert not cookie.secure, "without TLS a Secure cookie would never come back"
    assert cookie.max_age == 365 * 24 * 60 * 60


def test_a_technician_cannot_enrol_a_device(app: Flask) -> None:
    assert ShopClient(app).signed_in_as("Dana").get("/devices").status_code == 403


def test_enrolling_leaves_nothing_of_the_desk_on_the_phone(app: Flask) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    assert client.press("/devices", name="bench").headers["Location"] == "/who"
    assert client.get("/settings").status_code == 403


def test_a_pin_changes_who_has_it_in_hand(phone: ShopClient, ids: dict[str, int]) -> None:
    assert "Dana" in phone.text("/who")
    assert take(phone, ids["Dana"], "1357") == 303
    assert "Dana" in phone.text("/account")


def test_an_owners_pin_gives_only_the_floors_rights(phone: ShopClient, ids: dict[str, int]) -> None:
    assert take(phone, ids["Noor"], "2468") == 303
    assert phone.get("/account").status_code == 200
    for url in ("/settings", "/people", "/devices", "/log"):
        assert phone.get(url).status_code == 403


def test_a_password_sign_in_does_not_pass_on_with_the_device(
    app: Flask, phone: ShopClient, ids: dict[str, int]
) -> None:
    phone.signed_in_as("Noor")
    assert phone.get("/settings").status_code == 200
    assert take(phone, ids["Dana"], "1357") == 303
    assert phone.get("/settings").status_code == 403


def test_wrong_pins_slow_the_person_on_this_device(phone: ShopClient, ids: dict[str, int]) -> None:
    for _ in range(3):
        assert take(phone, ids["Dana"], "0000") == 422
    answer = phone.press(f"/who/{ids['Dana']}", pin="1357")
    assert answer.status_code == 429
    assert any("Wait 1 second" in said for said in sentences(answer.text))
    assert take(phone, ids["Noor"], "2468") == 303, "another person on the same device is not slowed"


def test_wrong_pins_slow_nobody_on_another_device_and_no_password(
    app: Flask, phone: ShopClient, ids: dict[str, int]
) -> None:
    with app.app_context(), transaction(db.session()) as opened:
        opened.get_one(Person, ids["Dana"]).password_hash = hash_password("a sentence to keep")
    for _ in range(3):
        assert take(phone, ids["Dana"], "0000") == 422
    other = ShopClient(app).signed_in_as("Noor")
    other.press("/devices", name="Phone at bay 2")
    with other.http.session_transaction() as kept:
        kept["csrf"] = "token"
    assert take(other, ids["Dana"], "1357") == 303
    assert phone.press("/sign-in", name="Dana", password="a sentence to keep").status_code == 303


@pytest.mark.parametrize("guessed", ["0000", "1234"])
def test_a_pin_that_anyone_guesses_is_changed_at_the_next_sign_in_with_it(
    app: Flask, phone: ShopClient, ids: dict[str, int], guessed: str
) -> None:
    with app.app_context(), transaction(db.session()) as opened:
        opened.get_one(Person, ids["Dana"]).pin_hash = hash_pin(guessed, app.config["SECRET_KEY"])
    answer = phone.press(f"/who/{ids['Dana']}", pin=guessed, then="/shelf/")
    assert answer.status_code == 422
    assert [field in answer.text for field in ('name="fresh"', 'id="pin"')] == [True, False]
    assert "Dana" not in phone.text("/account"), "the device does not change hands before there is another PIN"
    typed = dict(re.findall(r'name="(pin|then)"[^>]*value="([^"]*)"', answer.text))
    for refused, sentence in (("1234", "guessed first"), ("12", "4 to 8 digits"), ("", "4 to 8 digits")):
        again = phone.press(f"/who/{ids['Dana']}", fresh=refused, **typed)
        assert again.status_code == 422
        assert any(sentence in said for said in sentences(again.text))
    wrong = phone.press(f"/who/{ids['Dana']}", fresh="9753", pin="1111")
    assert wrong.status_code == 422, "the old one is checked"
    assert any("Try again" in said for said in sentences(wrong.text))
    changed = phone.press(f"/who/{ids['Dana']}", fresh="9753", **typed)
    assert (changed.status_code, changed.headers["Location"]) == (303, "/shelf/")
    with phone.http.session_transaction() as kept:
        kept["csrf"] = "token"
    phone.press("/who/nobody")
    with phone.http.session_transaction() as kept:
        kept["csrf"] = "token"
    assert take(phone, ids["Dana"], guessed) == 422
    assert take(phone, ids["Dana"], "9753") == 303


def test_a_device_that_was_signed_out_gives_nothing(app: Flask, phone: ShopClient, ids: dict[str, int]) -> None:
    take(phone, ids["Dana"], "1357")
    desk = ShopClient(app).signed_in_as("Noor")
    desk.press("/devices/1/end")
    assert phone.get("/account").headers["Location"].startswith("/sign-in")
    assert phone.press(f"/who/{ids['Dana']}", pin="1357").status_code == 404


def test_without_an_enrolled_device_no_pin_is_asked(app: Flask, ids: dict[str, int]) -> None:
    client = ShopClient(app)
    assert client.get(f"/who/{ids['Dana']}").status_code == 404
    assert client.get("/who").headers["Location"] == "/sign-in"


def test_somebody_without_a_pin_is_never_let_in_by_one(phone: ShopClient, ids: dict[str, int]) -> None:
    assert take(phone, ids["Desk"], "") == 422
    assert take(phone, ids["Desk"], "0000") == 422


def test_put_down_it_belongs_to_nobody(phone: ShopClient, ids: dict[str, int]) -> None:
    take(phone, ids["Dana"], "1357")
    phone.press("/who/nobody")
    assert phone.get("/account").status_code == 302


def test_a_pins_hash_is_worth_nothing_without_the_secret(app: Flask, ids: dict[str, int]) -> None:
    secret = app.config["SECRET_KEY"]
    with app.app_context():
        kept = db.session.get_one(Person, ids["Dana"]).pin_hash
        db.session.remove()
    assert is_pin("1357", kept, secret)
    assert not is_pin("1357", kept, b"another secret")
    assert not is_password("1357", kept), "whoever has only the database cannot try 10,000 PINs against it"

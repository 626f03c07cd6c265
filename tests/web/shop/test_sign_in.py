"""Signing in and out: slowed when wrong, never locked; sessions end; nobody is led elsewhere."""

import re
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shop import Person, PinTrial
from shopbook.outside.passwords import hash_password
from shopbook.services.act import Act
from shopbook.services.shop.people import set_password
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.clocks import Clock
from tests.conftest import NOON

PASSWORD = "red door by the lane"


@pytest.fixture
def clock(app: Flask) -> Clock:
    """The app's clock in the test's hand; the owner has a password."""
    made = Clock(NOON)
    app.config["CLOCK"] = made
    with app.app_context(), transaction(db.session()) as opened:
        noor = opened.scalars(select(Person).where(Person.name == "Noor")).one()
        noor.password_hash = hash_password(PASSWORD)
    return made


def visitor(app: Flask) -> ShopClient:
    """A browser that nobody has signed in on."""
    client = ShopClient(app)
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    return client


def try_once(client: ShopClient, password: str, name: str = "Noor", **more: str) -> Any:
    return client.press("/sign-in", name=name, password=password, **more)


def wrong_tries(app: Flask) -> dict[str, int]:
    with app.app_context():
        found = {trial.whom: trial.wrong for trial in db.session.scalars(select(PinTrial))}
        db.session.remove()
    return found


def test_the_right_password_signs_in_and_a_fresh_session_begins(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    with client.http.session_transaction() as kept:
        kept["left_over"] = "of somebody else"
    assert try_once(client, PASSWORD).status_code == 303
    with client.http.session_transaction() as kept:
        assert "left_over" not in kept
        assert kept.get("csrf") != "token"
        assert kept.permanent
    assert "Noor" in client.text("/account")


@pytest.mark.parametrize(("name", "password"), [("Noor", "not it at all"), ("Nobody", PASSWORD), ("Dana", "")])
def test_a_wrong_try_says_the_same_whatever_was_wrong(app: Flask, clock: Clock, name: str, password: str) -> None:
    client = visitor(app)
    answer = try_once(client, password, name)
    assert answer.status_code == 422
    assert client.get("/account").status_code == 302
    if password:
        assert any("Try again" in said for said in sentences(answer.text))


def test_wrong_tries_slow_the_next_one_and_outlive_the_refusal(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    for _ in range(3):
        assert try_once(client, "not it at all").status_code == 422
    assert max(wrong_tries(app).values()) == 3
    answer = try_once(client, PASSWORD)
    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "1"
    assert any("Wait 1 second, then try again." in said for said in sentences(answer.text))
    assert max(wrong_tries(app).values()) == 3, "a try that was not looked at does not count"


def test_nobody_is_locked_out(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    for _ in range(12):
        try_once(client, "not it at all")
        clock.moment += timedelta(minutes=2)
    assert try_once(client, PASSWORD).status_code == 303
    assert wrong_tries(app) == {}


def test_a_copied_cookie_opens_nothing_once_its_browser_is_signed_out(app: Flask, clock: Clock) -> None:
    mine, other, thief = visitor(app), visitor(app), visitor(app)
    for browser in (mine, other):
        assert try_once(browser, PASSWORD).status_code == 303
    stolen = mine.http.get_cookie("shopbook")
    assert stolen is not None
    thief.http.set_cookie("shopbook", stolen.value)
    assert thief.get("/account").status_code == 200
    with mine.http.session_transaction() as kept:
        kept["csrf"] = "token"
    mine.press("/sign-out")
    assert [browser.get("/account").status_code for browser in (mine, thief, other)] == [302, 302, 200]


def test_pages_asked_for_at_once_after_signing_in_hold_one_token(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    assert try_once(client, PASSWORD).status_code == 303
    signed = client.http.get_cookie("shopbook")
    assert signed is not None
    held = set()
    for _ in range(2):
        at_once = visitor(app)
        at_once.http.set_cookie("shopbook", signed.value)
        held |= set(re.findall(r'name="csrf_token"[^>]*value="([^"]+)"', at_once.text("/account")))
    assert len(held) == 1, "the cookie that arrives last would refuse the presses of the other page"


def test_what_only_shows_something_sends_no_cookie(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    assert try_once(client, PASSWORD).status_code == 303
    sent = [client.get(path) for path in ("/account", f"{app.static_url_path}/look.css")]
    assert [answer.status_code for answer in sent] == [200, 200]
    sent[-1].close()
    assert not any("Set-Cookie" in answer.headers for answer in sent), (
        "arriving late it would put back an older one, without what a press had to say"
    )


def test_a_new_password_ends_open_sign_ins(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    try_once(client, PASSWORD)
    with app.app_context(), transaction(db.session()) as opened:
        noor = opened.scalars(select(Person).where(Person.name == "Noor")).one()
        set_password(Act(opened, THE_PROGRAM, NOON), noor.id, hash_password("another sentence"))
    assert client.get("/account").headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("then", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere", "\t//x", "x"])
def test_nobody_is_led_to_another_site(app: Flask, clock: Clock, then: str) -> None:
    assert try_once(visitor(app), PASSWORD, then=then).headers["Location"] == "/"


def test_signing_in_leads_on_to_what_was_asked_for(app: Flask, clock: Clock) -> None:
    client = visitor(app)
    asked = client.get("/settings/money")
    page = client.text(asked.headers["Location"])
    then = re.findall(r'name="then"[^>]*value="([^"]*)"', page)[0]
    assert try_once(client, PASSWORD, then=then).headers["Location"].rstrip("?") == "/settings/money"


def test_signing_out_ends_it(app: Flask, clock: Clock) -> None:
    client = visitor(app).signed_in_as("Noor")
    client.press("/sign-out")
    assert client.get("/account").status_code == 302


def test_a_press_from_another_page_or_without_its_token_does_nothing(client: ShopClient) -> None:
    foreign = client.http.post(
        "/people/new",
        data={"csrf_token": "token", "act_key": "k", "name": "Eve", "roles": "owner"},
        headers={"Origin": "http://elsewhere.example"},
    )
    bare = client.http.post("/people/new", data={"act_key": "k", "name": "Eve", "roles": "owner"})
    assert (foreign.status_code, bare.status_code) == (403, 403)
    assert "Eve" not in client.text("/people")


def test_the_password_page_is_neither_kept_nor_framed(app: Flask) -> None:
    headers = visitor(app).get("/sign-in").headers
    assert headers["Cache-Control"] == "no-store"
    assert headers["X-Frame-Options"] == "DENY"
    assert "default-src 'self'" in headers["Content-Security-Policy"]

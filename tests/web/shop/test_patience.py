"""Whom wrong passwords slow: one name from one address; never whom a browser knows, nobody by another's, no PIN."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shop import Person, PinTrial
from shopbook.outside.passwords import hash_password
from shopbook.web.parts.act import db
from shopbook.web.shop.known import KNOWN_COOKIE
from tests.clients import ShopClient
from tests.clocks import Clock
from tests.conftest import NOON

PASSWORD, OTHERS = "red door by the lane", "grey door by the lake"


@pytest.fixture
def clock(app: Flask) -> Clock:
    """The app's clock in the test's hand; Noor and the desk have a password each."""
    app.config["CLOCK"] = made = Clock(NOON)
    give(app, "Noor", password_hash=hash_password(PASSWORD))
    give(app, "Desk", password_hash=hash_password(OTHERS))
    return made


def give(app: Flask, whom: str, /, **values: str) -> None:
    with app.app_context(), transaction(db.session()) as opened:
        person = opened.scalars(select(Person).where(Person.name == whom)).one()
        for column, value in values.items():
            setattr(person, column, value)


def visitor(app: Flask, address: str = "192.0.2.1") -> ShopClient:
    client = ShopClient(app)
    client.http.environ_base["REMOTE_ADDR"] = address
    return fresh(client)


def fresh(client: ShopClient) -> ShopClient:
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    return client


def sign_in(client: ShopClient, name: str = "Noor", password: str = PASSWORD) -> int:
    status = client.press("/sign-in", name=name, password=password).status_code
    fresh(client)
    return status


def guess(client: ShopClient, times: int = 3, name: str = "Noor") -> None:
    assert [sign_in(client, name, "not it at all") for _ in range(times)] == [422] * times


def counts(app: Flask) -> Iterator[str]:
    with app.app_context():
        yield from [trial.whom for trial in db.session.scalars(select(PinTrial))]
        db.session.remove()


@pytest.mark.parametrize("name", ["Noor", "Nobody of that name"])
def test_a_name_is_slowed_where_it_was_guessed_whether_somebody_has_it_or_not(
    app: Flask, clock: Clock, name: str
) -> None:
    guess(visitor(app), name=name)
    assert sign_in(visitor(app), name) == 429
    assert sign_in(visitor(app), name.upper()) == 429, "other letters are the same name"
    assert not any(name in whom for whom in counts(app)), "what is typed as a name may be a password"


def test_a_guesser_slows_nobody_at_another_address_and_nobody_of_another_name(app: Flask, clock: Clock) -> None:
    guess(visitor(app))
    assert sign_in(visitor(app, "192.0.2.2")) == 303
    assert sign_in(visitor(app), "Desk", OTHERS) == 303


def test_a_machine_that_draws_addresses_of_its_own_network_is_one_place(app: Flask, clock: Clock) -> None:
    for number in range(1, 4):
        guess(visitor(app, f"2001:db8:0:7::{number}"), times=1)
    assert sign_in(visitor(app, "2001:db8:0:7::99")) == 429
    assert sign_in(visitor(app, "2001:db8:0:8::1")) == 303


def test_a_browser_known_for_a_person_is_never_slowed_by_others(app: Flask, clock: Clock) -> None:
    mine = visitor(app)
    assert sign_in(mine) == 303
    mine.press("/sign-out")
    clock.moment += timedelta(days=29)
    guess(visitor(app))
    assert sign_in(visitor(app)) == 429
    assert sign_in(fresh(mine)) == 303


def test_after_thirty_days_a_browser_is_as_any_other(app: Flask, clock: Clock) -> None:
    mine = visitor(app)
    assert sign_in(mine) == 303
    clock.moment += timedelta(days=30)
    guess(visitor(app))
    assert sign_in(mine) == 429


def test_a_known_browser_is_slowed_by_its_own_wrong_tries_alone(app: Flask, clock: Clock) -> None:
    mine = visitor(app)
    assert sign_in(mine) == 303
    guess(mine)
    assert sign_in(mine) == 429
    assert sign_in(visitor(app)) == 303, "they count for that browser, not for its address"
    clock.moment += timedelta(seconds=2)
    assert sign_in(mine) == 303


def test_a_browser_is_known_for_those_alone_who_signed_in_there(app: Flask, clock: Clock) -> None:
    desks = visitor(app)
    assert sign_in(desks, "Desk", OTHERS) == 303
    guess(visitor(app))
    assert sign_in(desks) == 429
    clock.moment += timedelta(minutes=3)
    assert sign_in(desks) == 303
    guess(visitor(app), name="Desk")
    assert sign_in(desks, "Desk", OTHERS) == 303, "the first of two people is still known"


def test_a_made_up_mark_of_a_known_browser_is_worth_nothing(app: Flask, clock: Clock) -> None:
    mine, forged = visitor(app), visitor(app)
    assert sign_in(mine) == 303
    kept = mine.http.get_cookie(KNOWN_COOKIE)
    assert kept is not None
    assert kept.http_only
    forged.http.set_cookie(KNOWN_COOKIE, kept.value[:-2] + "xx")
    guess(visitor(app))
    assert sign_in(forged) == 429


def test_the_mark_of_a_known_browser_lets_nobody_in(app: Flask, clock: Clock) -> None:
    mine, thief = visitor(app), visitor(app)
    assert sign_in(mine) == 303
    kept = mine.http.get_cookie(KNOWN_COOKIE)
    assert kept is not None
    thief.http.set_cookie(KNOWN_COOKIE, kept.value)
    assert thief.get("/account").status_code == 302


def at_once(app: Flask, password: str, times: int = 8) -> list[int]:
    browsers = [visitor(app) for _ in range(times)]
    with ThreadPoolExecutor(times) as pool:
        return sorted(pool.map(lambda browser: sign_in(browser, password=password), browsers))


def test_eight_right_sign_ins_at_once_all_pass(app: Flask, clock: Clock) -> None:
    assert at_once(app, PASSWORD) == [303] * 8
    assert list(counts(app)) == []


def test_of_wrong_ones_sent_at_once_only_the_free_ones_are_looked_at(app: Flask, clock: Clock) -> None:
    assert at_once(app, "not it at all") == [422] * 3 + [429] * 5


@pytest.mark.parametrize("typed", ["noor", "  NOOR "])
def test_a_name_signs_in_in_any_case_of_letters(app: Flask, clock: Clock, typed: str) -> None:
    client = visitor(app)
    assert sign_in(client, typed) == 303
    assert "Noor" in client.text("/account")


def test_who_was_named_anew_by_the_upgrade_is_told_at_each_sign_in_until_the_new_name_is_used(
    app: Flask, clock: Clock
) -> None:
    give(app, "Desk", name="Noor 2", name_before="noor")
    told = "Two people here are called noor. You are now Noor 2: sign in with that name."
    for typed, is_told in (("noor", True), ("Noor", True), ("noor 2", True), ("noor 2", False)):
        browser = visitor(app)
        assert sign_in(browser, typed, OTHERS) == 303
        assert (told in browser.text("/account")) is is_told
    assert sign_in(visitor(app), "noor", OTHERS) == 422, "from now on that is the other person's name alone"
    assert sign_in(visitor(app), "noor") == 303

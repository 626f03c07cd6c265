"""Every route walked as every role: what the table does not allow is refused before a handler runs."""

import re
import secrets
from collections.abc import Iterator

import pytest
from flask import Flask
from werkzeug.routing import Rule

from shopbook.trade.permissions import PERMISSIONS, Role
from tests.clients import ShopClient

PEOPLE = {Role.OWNER: "Noor", Role.DESK: "Desk", Role.TECHNICIAN: "Dana"}
UNSAFE = {"POST", "PUT", "PATCH", "DELETE"}


def rules(app: Flask) -> Iterator[Rule]:
    yield from (rule for rule in app.url_map.iter_rules() if rule.endpoint != "static")


def address(rule: Rule) -> str:
    """The rule's address with something in every gap that its converter takes."""

    def fill(gap: re.Match[str]) -> str:
        kind, choices = gap[1], gap[2] or ""
        return choices.split(",")[0].strip("'\" ") if kind == "any" else "999999" if kind == "int" else "x"

    return re.sub(r"<(?:(\w+)(?:\(([^)]*)\))?:)?\w+>", fill, rule.rule)


def ask(client: ShopClient, rule: Rule, method: str) -> tuple[int, str]:
    form = {"csrf_token": "token", "act_key": secrets.token_hex(16)} if method in UNSAFE else None
    answer = client.http.open(address(rule), method=method, data=form)
    return answer.status_code, answer.headers.get("Location", "")


def methods(rule: Rule) -> set[str]:
    return (rule.methods or set()) - {"HEAD", "OPTIONS"}


def test_every_handler_says_what_it_needs(app: Flask) -> None:
    unmarked = [rule.endpoint for rule in rules(app) if not hasattr(app.view_functions[rule.endpoint], "needs")]
    assert unmarked == []


def test_every_need_is_in_the_table(app: Flask) -> None:
    needs = {getattr(app.view_functions[rule.endpoint], "needs", None) for rule in rules(app)}
    assert needs - {None} <= set(PERMISSIONS)


def test_what_is_open_to_all_is_what_must_be(app: Flask) -> None:
    opened = {rule.endpoint for rule in rules(app) if getattr(app.view_functions[rule.endpoint], "needs", ...) is None}
    # The last three are a device's own: they lead nowhere from a browser that no owner let stay signed in.
    a_device = {"shop.who", "shop.pin", "shop.nobody"}
    assert opened <= {"shop.front", "shop.start", "shop.sign_in", "shop.sign_out", "shop.health"} | a_device


@pytest.mark.parametrize("role", list(Role))
def test_a_role_reaches_what_the_table_gives_it_and_nothing_else(app: Flask, role: Role) -> None:
    wrong = []
    for rule in rules(app):
        wanted = app.view_functions[rule.endpoint].needs  # type: ignore[attr-defined]
        is_allowed = wanted is None or role in PERMISSIONS[wanted]
        for method in methods(rule):
            # Signed in anew each time: some of the pages end a sign-in.
            status, where = ask(ShopClient(app).signed_in_as(PEOPLE[role]), rule, method)
            is_refused = status == 403
            if (wanted is not None and is_refused is is_allowed) or status >= 500:
                wrong.append((method, rule.rule, wanted, status, where))
    assert wrong == []


def test_nobody_is_led_to_the_sign_in(app: Flask) -> None:
    wrong = []
    for rule in rules(app):
        if app.view_functions[rule.endpoint].needs is None:  # type: ignore[attr-defined]
            continue
        for method in methods(rule):
            client = ShopClient(app)
            with client.http.session_transaction() as cookie:
                cookie["csrf"] = "token"
            status, where = ask(client, rule, method)
            if status != 302 or "/sign-in" not in where:
                wrong.append((method, rule.rule, status, where))
    assert wrong == []


def test_every_unsafe_request_without_a_token_or_from_another_page_is_refused(app: Flask) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    for rule in rules(app):
        for method in methods(rule) & UNSAFE:
            assert client.http.open(address(rule), method=method).status_code == 403, rule.rule
            form = {"csrf_token": "token", "act_key": "k" * 32}
            elsewhere = {"Origin": "http://elsewhere.example"}
            answer = client.http.open(address(rule), method=method, data=form, headers=elsewhere)
            assert answer.status_code == 403, rule.rule


def test_a_foreign_host_name_is_refused(app: Flask) -> None:
    client = app.test_client()
    for host in ("rebound.example", "127.0.0.1.rebound.example", "localhost.rebound.example:8210"):
        assert client.get("/health", headers={"Host": host}).status_code == 400, host
    assert client.get("/health", headers={"Host": "127.0.0.1:8210"}).status_code == 200

"""What a page puts into a form itself (hidden numbers, choices, names of buttons) sent back as no page wrote it.

A number past 64 bits fits no column on either database, and one of more than 4300 figures Python does not even read
(the language's manual: "Integer string conversion length limitation"). Each must
be a page that says something.
"""

import re
import secrets
from collections.abc import Iterator
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from flask import Flask
from lxml import html

from shopbook.app import create_app
from shopbook.config import Config, read_config
from shopbook.models.copying import copy_book
from shopbook.models.session import make_engine
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.journeys.crawling import crawl_recent
from tests.journeys.demos import NOW, built_in, last_weeks

PAST_64_BITS = str(2**63)
BEYOND_READING = "9" * 5000
ANSWERS = {200, 302, 303, 404, 409, 422}
LEFT_OUT = re.compile(r"/sign-out|/who/|/account/password|/devices|/log$")
"""Forms that change who presses next."""


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Config]:
    """The demo with the cars of the last weeks."""
    for built, engine in built_in(tmp_path_factory.mktemp("bounded") / "demo", last_weeks()):
        engine.dispose()
        yield built


@pytest.fixture(scope="module")
def urls(config: Config, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Its addresses as the owner's links lead there, the same in either database."""
    made = create_app(config, TESTING=True, CLOCK=lambda: NOW)
    found = crawl_recent(made, "Noor", tmp_path_factory.getbasetemp())
    with made.app_context():
        db.engine.dispose()
    return [url for each in found.values() for url in each]


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def filled(request: pytest.FixtureRequest, config: Config) -> Iterator[Flask]:
    """The program on that demo in each database."""
    url = config.database_url
    if request.param == "postgresql":
        url = str(request.getfixturevalue("postgres_url"))
        here, there = make_engine(config.database_url), make_engine(url)
        copy_book(here, there)
        here.dispose()
        there.dispose()
    given = {"SHOPBOOK_DATA": str(config.data_folder), "SHOPBOOK_DATABASE_URL": url}
    made = create_app(read_config(given), TESTING=True, CLOCK=lambda: NOW)
    yield made
    with made.app_context():
        db.engine.dispose()


def own_names(form: html.FormElement) -> set[str]:
    """The names of what the page, not the person, puts into a form."""
    chosen = {"hidden", "radio", "checkbox", "submit", "number"}
    fields = [each for each in form.iter("input", "button") if each.get("type", "submit") in chosen]
    names = {each.get("name") for each in [*fields, *form.iter("select")]}
    return names - {None, "csrf_token", "act_key"}


def forged(form: html.FormElement, name: str, value: str) -> dict[str, list[str]]:
    data: dict[str, list[str]] = {}
    for each, kept in form.form_values():
        data.setdefault(each, []).append(kept)
    return data | {name: [value], "csrf_token": ["token"], "act_key": [secrets.token_hex(16)]}


def test_a_number_that_no_column_holds_is_a_page_and_no_crash_wherever_a_form_carries_one(
    filled: Flask, urls: list[str]
) -> None:
    client, wrong, sent = ShopClient(filled).signed_in_as("Noor"), [], 0
    seen: set[tuple[str, str]] = set()
    for url in urls:
        answer = client.get(url, follow_redirects=True)
        forms = html.fromstring(answer.text).forms if answer.mimetype == "text/html" else []
        for form in forms:
            where = form.action or answer.request.full_path
            for name in sorted(own_names(form)):
                kind = re.sub(r"\d+", "0", where.partition("?")[0]), re.sub(r"\d+", "0", name)
                if kind in seen or LEFT_OUT.search(where):
                    continue
                seen.add(kind)
                for value in (PAST_64_BITS, BEYOND_READING):
                    data = forged(form, name, value)
                    is_post = form.method == "POST"
                    again = client.http.open(
                        where,
                        method=form.method,
                        data=data if is_post else None,
                        query_string=None if is_post else data,
                    )
                    sent += 1
                    if again.status_code not in ANSWERS:
                        wrong.append((*kind, value[:20], again.status_code))
    assert sent > 200
    assert wrong == []


def test_a_number_that_no_column_holds_behind_a_question_mark_is_a_page_and_no_crash(
    filled: Flask, urls: list[str]
) -> None:
    client, wrong = ShopClient(filled).signed_in_as("Noor"), []
    for url in urls:
        asked = urlsplit(url)
        pairs = parse_qsl(asked.query)
        for place, (name, _) in enumerate(pairs):
            for value in (PAST_64_BITS, BEYOND_READING, "-1", "²", "0x1", ""):
                query = [*pairs[:place], (name, value), *pairs[place + 1 :]]
                status = client.http.get(f"{asked.path}?{urlencode(query)}").status_code
                if status not in ANSWERS:
                    wrong.append((asked.path, name, value[:20], status))
    assert wrong == []

"""A page reads what it is about once and hands it down: how few statements it sends, and that none is sent twice."""

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.journeys.demos import NOW, Built
from tests.journeys.test_demo_pages import addresses

MOST = {
    "reports.today": 45,
    "money.owed": 25,
    "jobs.ledger": 20,
    "jobs.show": 40,
    "floor.work": 20,
    "shelf.materials": 20,
    "diary.week": 15,
}
"""Statements of a page, by endpoint; the begin, and what the guards look up of sign-in and book, are not counted."""


class Statements:
    """What a request sends to the book once its guards have let it through."""

    def __init__(self) -> None:
        self.sent: Counter[tuple[str, str]] = Counter()

    def begin(self) -> None:
        """The guards are through: what comes now is the page's own."""
        self.sent.clear()

    def note(self, connection: Any, cursor: Any, statement: str, parameters: Any, *rest: Any) -> None:
        """One statement as it goes out."""
        if re.match(r"SELECT|WITH", statement):
            self.sent[statement, repr(parameters)] += 1

    @property
    def repeats(self) -> list[str]:
        """The tables of what went out more than once with the same parameters."""
        return [_table(statement) for (statement, _), times in self.sent.items() if times > 1]


def _table(statement: str) -> str:
    found = re.search(r"FROM\s+(\w+)", statement)
    return found[1] if found else statement[:60]


@pytest.fixture(scope="module")
def watched(demo: Built) -> Iterator[tuple[Flask, Statements]]:
    app, statements = create_app(demo[0], TESTING=True, CLOCK=lambda: NOW), Statements()
    # Stands behind the guards, for it is added after them, and before whatever an area does first.
    app.before_request(statements.begin)
    with app.app_context():
        event.listen(db.engine, "before_cursor_execute", statements.note)
    yield app, statements
    with app.app_context():
        db.engine.dispose()


@pytest.fixture(scope="module")
def pages(watched: tuple[Flask, Statements], demo: Built) -> dict[str, tuple[int, list[str]]]:
    """Of every page that is shown: how many statements it sent, and of which tables it sent one twice."""
    app, statements = watched
    client, found = ShopClient(app).signed_in_as("Noor"), {}
    with Session(demo[1]) as session:
        urls = addresses(app, session)
    for rule, url in urls.items():
        if client.http.get(url).status_code == 200:
            found[rule.split()[0]] = (statements.sent.total(), statements.repeats)
    return found


def test_no_page_sends_a_statement_twice(pages: dict[str, tuple[int, list[str]]]) -> None:
    assert len(pages) > 75
    assert {endpoint: repeats for endpoint, (_, repeats) in pages.items() if repeats} == {}


@pytest.mark.parametrize("endpoint", MOST)
def test_a_list_asks_for_what_it_shows_in_few_statements(
    pages: dict[str, tuple[int, list[str]]], endpoint: str
) -> None:
    assert pages[endpoint][0] <= MOST[endpoint]

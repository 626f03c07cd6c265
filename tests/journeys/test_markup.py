"""Every page of the demo as a strict reader of HTML sees it: nothing to complain of."""

from collections.abc import Iterator

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.journeys.crawling import main_of
from tests.journeys.demos import NOW, Built
from tests.journeys.test_demo_pages import addresses
from tests.markup import faults_of


@pytest.fixture(scope="module")
def app(demo: Built) -> Iterator[Flask]:
    made = create_app(demo[0], TESTING=True, CLOCK=lambda: NOW)
    yield made
    with made.app_context():
        db.engine.dispose()


@pytest.fixture(scope="module")
def read() -> set[str]:
    """What was read already, for whomever."""
    return set()


@pytest.mark.parametrize("who", ["Noor", "Marit", "Dana"])
def test_a_strict_reader_finds_nothing_wrong_with_any_page(app: Flask, demo: Built, read: set[str], who: str) -> None:
    client, wrong, looked_at = ShopClient(app).signed_in_as(who), {}, 0
    with Session(demo[1]) as session:
        urls = set(addresses(app, session).values())
        urls |= {f"/jobs/{number}" for number in range(1, 25)}
    for url in sorted(urls):
        answer = client.http.get(url)
        if answer.mimetype != "text/html":
            answer.close()
            continue
        looked_at += 1
        if looked_at > 1 and main_of(answer.text) in read:
            continue  # word for word what somebody else was shown; the frame is read on the person's first page
        read.add(main_of(answer.text))
        if faults := faults_of(answer.text):
            wrong[url] = faults[:5]
    assert looked_at > 90
    assert wrong == {}

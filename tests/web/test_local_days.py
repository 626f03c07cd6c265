"""Every day on a page is the shop's own, also at the hours at which it is another day in UTC."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from flask import Flask

from shopbook.models.session import transaction
from shopbook.models.shop import Book
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.billing import make_agreed_job
from tests.makers.quotes import make_given_quote
from tests.web.rows_of_page import rows_of

MOMENTS = {
    "half past eleven at night in Los Angeles, November 6 in UTC": ("America/Los_Angeles", 23, 30),
    "half past seven in the morning in Sydney, November 4 in UTC": ("Australia/Sydney", 7, 30),
    "half past eleven at night in Sydney": ("Australia/Sydney", 23, 30),
}


@pytest.fixture(params=MOMENTS.values(), ids=MOMENTS)
def at_night(request: pytest.FixtureRequest, app: Flask) -> ShopClient:
    """A shop on November 5: a quote was sent, a device signed in and a car made ready at that moment."""
    zone, hour, minute = request.param
    moment = datetime(2026, 11, 5, hour, minute, tzinfo=ZoneInfo(zone))
    app.config["CLOCK"] = lambda: moment
    with app.app_context(), transaction(db.session()) as opened:
        opened.get_one(Book, 1).zone = zone
        make_given_quote(opened, at=moment)
        make_agreed_job(opened, moment, agreed_at=moment, ready_at=moment)
    client = ShopClient(app).signed_in_as("Noor")
    client.press_on("/devices", name="Phone at bay 1")
    return client


def test_no_page_says_the_day_of_utc(at_night: ShopClient) -> None:
    client = ShopClient(at_night.app).signed_in_as("Noor")
    said = {
        "asked": [row for row in rows_of(client.text("/jobs/1")) if "asked " in row],
        "since": [row for row in rows_of(client.text("/devices")) if "since " in row],
        "ready": [row for row in rows_of(client.text("/money/")) if "· ready " in row or " ready Nov" in row],
    }
    for word, rows in said.items():
        assert any(f"{word} Nov 5" in row for row in rows), (word, rows)
        assert not any(day in row for row in rows for day in ("Nov 4", "Nov 6")), rows

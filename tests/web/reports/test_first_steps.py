"""Today of a new book: the steps with what is done, no row of zeros; gone with the first job."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import delete, update

from shopbook.models.session import transaction
from shopbook.models.shop import Book, DatedTaxRate
from shopbook.services.act import Act
from shopbook.services.jobs.sample import make_sample_job
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.jobs import make_job
from tests.makers.shop import lifted
from tests.web.rendering import find, parse


@pytest.fixture
def fresh(client: ShopClient) -> ShopClient:
    """A book started this morning, with its sample and without a rate of tax."""
    with client.app.app_context(), transaction(db.session()) as session:
        session.execute(update(Book).values(started_at=NOON - timedelta(hours=2)))
        with lifted(session, "guard_tax_rate_delete"):
            session.execute(delete(DatedTaxRate))
        make_sample_job(Act(session, THE_PROGRAM, NOON))
    return client


def steps(client: ShopClient) -> dict[str, str]:
    """What stands at the end of each step's row: its press with its address, or that it is done."""
    page = parse(client.text("/today"))
    rows = page.xpath("//section[h2='First steps' or div/h2='First steps']//li")
    found = {}
    for row in rows:
        (title,) = row.xpath("./div/p[1]/text()")
        links = find(row, "a", href=True)
        found[title] = links[0].get("href") if links else row.xpath("string(./div[@class='acts'])").strip()
    return found


def test_a_new_book_begins_with_a_real_car_and_says_what_is_done(fresh: ShopClient) -> None:
    page = fresh.text("/today")
    assert "No cars in or out" not in page
    (filled,) = [each for each in find(parse(page), class_="button") if "quiet" not in each.get("class")]
    assert filled.get("href") == "/jobs/kerb"
    assert "day 1 of your book" in page
    found = steps(fresh)
    assert found["Shop, country and time zone"] == "✓ done"
    assert {title for title, end in found.items() if end == "✓ done"} == {
        "Shop, country and time zone",
        "Who works here",
    }
    for url in found.values():
        assert url == "✓ done" or fresh.get(url).status_code == 200


def test_a_step_is_done_when_the_book_says_so(fresh: ShopClient) -> None:
    fresh.press_on("/settings/numbers", job="0", quote="0", invoice="1041", credit="0", receipt="0", order="0")
    ShopClient(fresh.app).signed_in_as("Desk").press_on("/devices", name="Bench phone")
    done = {title for title, end in steps(fresh).items() if end == "✓ done"}
    assert {"A phone for the floor", "Old numbers"} <= done
    assert "Walk the shelf" not in done


def test_the_desk_is_told_what_is_the_owners(fresh: ShopClient) -> None:
    desk = ShopClient(fresh.app).signed_in_as("Desk")
    found = steps(desk)
    assert found["Your prices"] == found["Old numbers"] == "owner only"
    assert found["Sales tax"].startswith("/tax")


def test_the_first_real_job_brings_the_day(fresh: ShopClient, app: Flask) -> None:
    with app.app_context(), transaction(db.session()) as session:
        make_job(session, at=NOON)
    page = fresh.text("/today")
    assert "First steps" not in page
    assert "<h2>Cars</h2>" in page or ">Cars<" in page


def test_setting_the_tax_comes_back_to_the_steps(fresh: ShopClient) -> None:
    assert "then=/today" in steps(fresh)["Sales tax"].replace("%2F", "/")

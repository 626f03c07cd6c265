"""What somebody who is signed in, or sits in the shop's network, tries beyond the buttons they were given."""

import io

import pytest
from flask import Flask
from PIL import Image
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.documents.month_end import safe_cell
from shopbook.models.floor import ClockEntry
from shopbook.models.jobs import Picture
from shopbook.models.session import transaction
from shopbook.models.shop import Person
from shopbook.outside.pictures import NO_IMAGE
from shopbook.services.act import Act
from shopbook.services.floor.day_sheet import place_time
from shopbook.services.floor.entries import Doing
from shopbook.trade.floor.hours import Interval
from shopbook.trade.floor.words import ClockWhat
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.jobs import make_planned_job


@pytest.fixture
def number(app: Flask) -> int:
    """The number of a planned job."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        return make_planned_job(opened).number


def shot() -> io.BytesIO:
    target = io.BytesIO()
    Image.new("RGB", (40, 30), "#2f5f9b").save(target, "JPEG")
    target.seek(0)
    return target


def sent_picture(app: Flask, client: ShopClient, number: int, purpose: str) -> int:
    """A picture sent up by the owner; answers its id."""
    client.press(f"/jobs/{number}/pictures", purpose=purpose, photo=(shot(), "a.jpg"))
    with app.app_context():
        found = db.session.scalars(select(Picture).where(Picture.purpose == purpose)).one().id
        db.session.remove()
    return found


def test_a_customers_message_is_the_desks_and_not_the_floors(app: Flask, client: ShopClient, number: int) -> None:
    message = sent_picture(app, client, number, "message")
    damage = sent_picture(app, client, number, "damage")
    floor = ShopClient(app).signed_in_as("Dana")
    for size in ("", "/small"):
        assert floor.get(f"/jobs/pictures/{message}{size}").status_code == 403
        assert floor.get(f"/jobs/pictures/{damage}{size}").status_code == 200
        assert client.get(f"/jobs/pictures/{message}{size}").status_code == 200
    assert f"/jobs/pictures/{message}" not in floor.text(f"/jobs/{number}")
    assert f"/jobs/pictures/{message}" in client.text(f"/jobs/{number}")


def test_a_picture_that_a_browser_kept_is_asked_for_again_and_refused_to_the_next_person(
    app: Flask, client: ShopClient, number: int
) -> None:
    url = f"/jobs/pictures/{sent_picture(app, client, number, 'damage')}"
    first = client.get(url)
    assert first.headers["Cache-Control"] == "private, no-cache"
    again = {"If-None-Match": first.headers["ETag"]}
    assert client.get(url, headers=again).status_code == 304
    assert client.press("/sign-out").status_code == 303
    assert client.get(url, headers=again).status_code == 302


def test_a_technician_sees_and_changes_nobody_elses_hours(app: Flask, client: ShopClient) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        noor = opened.scalars(select(Person).where(Person.name == "Noor")).one()
        interval = Interval(NOON.replace(hour=14), NOON.replace(hour=15))
        place_time(Act(opened, THE_PROGRAM, NOON), noor.id, interval, Doing(ClockWhat.PHONE, note="with the bank"))
        entry_id = opened.scalars(select(ClockEntry.id)).one()
    floor = ShopClient(app).signed_in_as("Dana")
    shown = floor.get(f"/floor/entries/{entry_id}")
    assert shown.status_code == 403
    assert "with the bank" not in shown.text
    assert floor.press(f"/floor/entries/{entry_id}/take-back", reason="x").status_code == 403
    assert client.get(f"/floor/entries/{entry_id}").status_code == 200


@pytest.mark.parametrize("said", ["cross-site", "same-site"])
def test_a_press_that_the_browser_says_comes_from_elsewhere_is_refused_without_an_origin(app: Flask, said: str) -> None:
    """Fetch Metadata Request Headers (W3C): `Sec-Fetch-Site` is the browser's own word."""
    client = ShopClient(app).signed_in_as("Noor")
    data = {"csrf_token": "token", "act_key": "k" * 32, "name": "Eve", "phone": "555-0101", "kind": "private"}
    answer = client.http.post("/customers/new", data=data, headers={"Sec-Fetch-Site": said})
    assert answer.status_code == 403
    own = client.http.post("/customers/new", data=data, headers={"Sec-Fetch-Site": "same-origin"})
    assert own.status_code == 303


@pytest.mark.parametrize("typed", ["%", "_", "\\", "'; DROP TABLE job; --", "(a+)+$" * 30, "%25%25"])
def test_the_search_reads_its_wildcards_as_letters(client: ShopClient, number: int, typed: str) -> None:
    found = client.get("/jobs/find", query_string={"q": typed})
    assert found.status_code == 200
    assert f"/jobs/{number}" not in found.text


def test_a_form_of_a_thousand_parts_is_refused_before_it_is_read(client: ShopClient, number: int) -> None:
    data = {"csrf_token": "token", "act_key": "k" * 32} | {f"kept{place}": "x" for place in range(1500)}
    answer = client.http.post(f"/jobs/{number}/pictures", data=data, content_type="multipart/form-data")
    assert answer.status_code == 413


def test_the_name_of_a_photo_is_neither_markup_nor_a_line_of_its_own(client: ShopClient, number: int) -> None:
    named = "<img src=x onerror=alert(1)>.svg"
    page = client.press_on(f"/jobs/{number}/pictures", photo=(io.BytesIO(b"<svg onload=alert(1)>"), named))
    assert "<img src=x" not in page
    assert NO_IMAGE in page


@pytest.mark.parametrize("typed", ["=1+1", "+1+cmd", "-2+3", "@SUM(A1)", "\t=1", "\n=1", "＝1", "＠SUM(A1)"])
def test_no_cell_of_a_table_is_run_by_a_spreadsheet(typed: str) -> None:
    """The first letters that OWASP's page on CSV injection names."""
    assert safe_cell(typed) == "'" + typed


def test_what_is_a_number_stays_one() -> None:
    assert [safe_cell(text) for text in ("-12.50", "1,250.00", "−3")] == ["-12.50", "1250.00", "-3"]

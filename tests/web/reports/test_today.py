"""Today as the desk opens it: each line leads with its next act, and the acts lead where they say."""

from datetime import timedelta
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.diary import make_morning
from tests.web.rendering import find, parse
from tests.web.said import NO_ANSWER


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """A desk in the morning of a full day."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_morning(opened, "Ruth")
    return ShopClient(app).signed_in_as("Desk")


BACKUP = "shopbook-%Y-%m-%d-%H%M%S.zip"


def filled(page: str, heading: str) -> list[list[str]]:
    """The filled presses of each line under a heading."""
    (section,) = [each for each in find(parse(page), "section") if each.findtext("h2") == heading]
    presses = [find(line, "*", class_="button") for line in section.xpath("./ul[contains(@class,'lines')]/li")]
    return [[press.text_content().strip() for press in line if "quiet" not in press.get("class")] for line in presses]


def test_an_empty_day_says_so_and_asks_for_nothing(client: ShopClient) -> None:
    page = client.text("/today")
    assert "No cars in or out today." in page
    assert "<h2>Waiting for approval</h2>" not in page


def test_the_front_door_leads_the_desk_to_today_and_the_floor_to_its_work(desk: ShopClient) -> None:
    assert desk.get("/").headers["Location"].endswith("/today")
    assert ShopClient(desk.app).signed_in_as("Dana").get("/").headers["Location"] != "/today"


def test_every_line_has_at_most_one_filled_press(desk: ShopClient) -> None:
    page = desk.text("/today")
    assert filled(page, "Arriving and leaving") == [["See the plan"], ["Tell the customer"], ["Check in"]]
    assert filled(page, "Waiting for approval") == [["Insurer said yes"], ["Ask for approval"]]
    assert filled(page, NO_ANSWER) == [["Said yes"]]
    assert filled(page, "Customers to call back") == [["Called"]]
    assert filled(page, "Parts due today") == [["Arrived"]]
    assert filled(page, "On the shelf") == [["Open"]]
    assert filled(page, "From yesterday")[:2] == [["Correct hours"], ["Place hours"]]


def test_every_link_of_the_page_leads_to_a_page(desk: ShopClient) -> None:
    links = {link.get("href").partition("#")[0] for link in find(parse(desk.text("/today")), "a", href=True)}
    broken = [link for link in links if link.startswith("/") and desk.http.get(link).status_code != 200]
    assert broken == []


def test_a_part_that_came_a_call_made_and_a_lost_quote_leave_the_page(desk: ShopClient) -> None:
    page = parse(desk.text("/today"))
    actions = [form.get("action") for form in find(page, "form", class_="press")]
    for ending in ("/came", "/called/", "/lose"):
        action = next(each for each in actions if ending in each)
        assert desk.press(action, why="price").status_code == 303
    after = desk.text("/today")
    for heading in ("Parts due today", "Customers to call back", NO_ANSWER):
        assert heading not in after


def test_the_ready_text_names_the_car_and_what_is_to_pay_and_is_kept_as_told(desk: ShopClient) -> None:
    page = desk.text("/today/3/ready")
    assert "Quarry Lane Dent and Paint: your harbour blue hatchback is ready." in page
    assert "sms:5550142?body=Quarry%20Lane" in page
    assert "until 5:00 pm" in page
    desk.press_on("/jobs/3/told")
    assert ["Hand over"] in filled(desk.text("/today"), "Arriving and leaving")


def test_a_text_for_an_unknown_job_is_a_page_and_not_an_error(client: ShopClient) -> None:
    assert client.get("/today/99/ready").status_code == 404


def test_the_last_backup_is_shown_and_warned_of_when_it_is_old(desk: ShopClient, tmp_path: Path) -> None:
    assert "No backup yet" in desk.text("/today")
    folder = tmp_path / "backups"
    folder.mkdir(exist_ok=True)
    old = NOON - timedelta(days=3)
    (folder / old.strftime(BACKUP)).touch()
    assert "overdue" in desk.text("/today")
    (folder / (NOON - timedelta(hours=3)).strftime(BACKUP)).touch()
    page = desk.text("/today")
    assert "Last backup: today 9:00 am" in page
    assert "overdue" not in page


def test_today_is_not_for_the_floor(desk: ShopClient) -> None:
    assert ShopClient(desk.app).signed_in_as("Dana").get("/today").status_code == 403

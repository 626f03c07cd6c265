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
from tests.makers.diary import WEDNESDAY, make_morning, make_promised_job
from tests.makers.jobs import make_job, make_planned_job
from tests.makers.quotes import make_given_quote
from tests.web.rendering import find, parse
from tests.web.said import NO_ANSWER


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """A desk in the morning of a full day."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_morning(opened, "Ruth")
    return ShopClient(app).signed_in_as("Desk")


BACKUP = "shopbook-%Y-%m-%d-%H%M%S.zip"


def presses(page: str, heading: str) -> list[list[str]]:
    """The presses of each row under a heading, without what stands in its menu."""
    (section,) = [each for each in find(parse(page), "section") if each.xpath("string(.//h2)") == heading]
    rows = section.xpath("./ul[contains(@class,'rows')]/li")
    found = [row.xpath(".//*[contains(@class,'button') and not(ancestor::details)]") for row in rows]
    return [[press.text_content().strip() for press in row] for row in found]


def filled(page: str) -> list[str]:
    """The filled presses of the page."""
    found = find(parse(page), "*", class_="button")
    return [press.text_content().strip() for press in found if "quiet" not in press.get("class")]


def test_an_empty_day_says_so_and_asks_for_nothing(client: ShopClient) -> None:
    with client.app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_job(opened).called_off_at = NOON
    page = client.text("/today")
    assert "No cars in or out today." in page
    assert "<h2>Waiting for an answer</h2>" not in page


def test_the_front_door_leads_the_desk_to_today_and_the_floor_to_its_work(desk: ShopClient) -> None:
    assert desk.get("/").headers["Location"].endswith("/today")
    assert ShopClient(desk.app).signed_in_as("Dana").get("/").headers["Location"] != "/today"


def test_one_press_of_the_page_is_filled_and_each_row_has_one_of_its_own(desk: ShopClient) -> None:
    page = desk.text("/today")
    assert len(filled(page)) == 1
    assert filled(page) == presses(page, "First")[0]
    assert presses(page, "Cars") == [["Check in"], ["Tell the customer"], ["Set Tuesday, text Ines"]]
    assert presses(page, "Extra work found") == [["Ask for approval"]]
    assert presses(page, NO_ANSWER) == [["Insurer said yes"], ["Said yes"]]
    assert presses(page, "Customers to call back") == [["Called"]]
    assert presses(page, "Parts and shelf") == [["Arrived"], ["Open"]]
    assert presses(page, "From yesterday")[:2] == [["Correct hours"], ["Place hours"]]


def test_first_names_the_stage_that_waits_for_a_part_and_its_press_stays_on_the_page(desk: ShopClient) -> None:
    (row,) = find(parse(desk.text("/today")), "ul", class_="first-list")[0].xpath("./li[contains(., 'stopped')]")
    assert "waits for Wing liner" in row.text_content()
    (form,) = [each for each in find(row, "form", class_="press") if each.get("action").endswith("/came")]
    answer = desk.press(form.get("action"), stay="today")
    assert answer.headers["Location"] == "/today"
    page = desk.text("/today")
    assert "Wing liner" not in page
    assert ">Undo</button>" in page
    assert desk.press(form.get("action"), stay="https://elsewhere.example").headers["Location"].startswith("/jobs/")


def test_a_promise_of_today_that_will_not_be_met_is_set_and_texted_in_one_press(desk: ShopClient) -> None:
    with desk.app.app_context(), Session(db.engine) as opened, transaction(opened):
        job = make_promised_job(opened, comes=WEDNESDAY, back=WEDNESDAY, is_here=True)
        number = job.number
    page = parse(desk.text("/today"))
    first = find(page, "ul", class_="first-list")[0].xpath("./li")[0]
    assert f"{number} Ines Okafor, promised yesterday" in first.text_content()
    assert "late" in first.text_content()
    (form,) = [each for each in find(first, "form", class_="press") if each.get("action").endswith("/take")]
    assert form.xpath("string(.//button)").endswith(", text Ines")
    sent = {
        each.get("name"): each.get("value")
        for each in find(form, "input")
        if each.get("name").startswith(("promise", "told"))
    }
    answer = desk.press(form.get("action"), **sent)
    assert answer.headers["Location"] == f"/diary/jobs/{number}/later"
    text = desk.text(f"/diary/jobs/{number}/later")
    assert "is taking longer than we said. It will be ready" in text
    assert "sms:5550142?body=" in text
    assert f"{number} Ines Okafor, promised yesterday" not in desk.text("/today")


def test_a_day_that_is_past_is_not_told_as_the_new_one(desk: ShopClient) -> None:
    with desk.app.app_context(), Session(db.engine) as opened, transaction(opened):
        number = make_promised_job(opened, comes=WEDNESDAY, back=WEDNESDAY, is_here=True).number
    text = desk.text(f"/diary/jobs/{number}/later")
    assert "is taking longer than we said. We will tell you the new day. We are sorry for the wait." in text
    assert "It will be ready" not in text


def test_two_hundred_more_rows_of_a_list_stand_under_one_line(desk: ShopClient) -> None:
    with desk.app.app_context(), Session(db.engine) as opened, transaction(opened):
        for _ in range(200):
            make_given_quote(opened, make_planned_job(opened))
    page = parse(desk.text("/today"))
    (section,) = [each for each in find(page, "section") if each.xpath("string(.//h2)") == NO_ANSWER]
    assert len(section.xpath("./ul/li")) == 2
    assert len(section.xpath("./details[@class='rest']/ul/li")) == 200
    assert section.xpath("string(./details/summary)").startswith("200 more requests, $")


def test_every_link_of_the_page_leads_to_a_page(desk: ShopClient) -> None:
    links = {link.get("href").partition("#")[0] for link in find(parse(desk.text("/today")), "a", href=True)}
    broken = [link for link in links if link.startswith("/") and desk.http.get(link).status_code != 200]
    assert broken == []


def test_a_part_that_came_a_call_made_and_a_lost_quote_leave_the_page(desk: ShopClient) -> None:
    page_text = desk.text("/today")
    page = parse(page_text)
    actions = [form.get("action") for form in find(page, "form", class_="press")]
    for ending in ("/came", "/called/", "/lose"):
        action = next(each for each in actions if ending in each)
        assert desk.press(action, why="price").status_code == 303
    after = desk.text("/today")
    for words in ("Wing liner", "Customers to call back", ">Said yes<"):
        assert words in page_text
        assert words not in after


def test_the_ready_text_names_the_car_and_what_is_to_pay_and_is_kept_as_told(desk: ShopClient) -> None:
    page = desk.text("/today/3/ready")
    assert "Quarry Lane Dent and Paint: your harbour blue hatchback is ready." in page
    assert "sms:5550142?body=Quarry%20Lane" in page
    assert "until 5:00 pm" in page
    desk.press_on("/jobs/3/told")
    assert ["Hand over"] in presses(desk.text("/today"), "Cars")


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

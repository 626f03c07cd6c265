"""The diary's pages, pressed as the desk presses them."""

import re
from datetime import date

import pytest
from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.diary import Absence
from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.diary import FRIDAY, MONDAY, make_promised_job
from tests.makers.floor import THURSDAY
from tests.makers.jobs import make_planned_job


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """A desk in front of a diary: job 1 comes today, job 2 is agreed without a day."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_promised_job(opened, comes=THURSDAY, back=FRIDAY)
        make_planned_job(opened, is_agreed=True)
    return ShopClient(app).signed_in_as("Desk")


def kept(client: ShopClient, number: int) -> Job:
    with client.app.app_context():
        return db.session.scalars(select(Job).where(Job.number == number)).one()


def test_the_board_shows_hours_cars_and_who_has_no_day(desk: ShopClient) -> None:
    page = desk.text("/diary/")
    assert "Nov 5 to November 12, 2026" in page
    assert "No day promised yet" in page
    assert "promised of hours there" in page
    assert 'aria-label="1 Jo Marsh, this morning to Friday afternoon, booked' in page or "1 " in page
    assert "booked" in page


def test_other_days_are_a_press_away_and_a_day_that_is_none_is_today(desk: ShopClient) -> None:
    assert "Nov 12 to November 19, 2026" in desk.text("/diary/?day=2026-11-12")
    assert 'href="/diary/?day=2026-11-13"' in desk.text("/diary/")
    for typed in ("tomorrow", "0001-01-01", "9999-12-31", "2026-13-01"):
        assert "Nov 5 to November 12, 2026" in desk.text(f"/diary/?day={typed}&show={typed}")


def test_days_are_changed_by_a_small_form(desk: ShopClient) -> None:
    days = {"drop_off_on": "2026-11-06", "drop_off_half": "afternoon", "promise_on": "2026-11-12"}
    page = desk.press_on("/diary/jobs/1", promise_half="morning", **days)
    assert "Nov 5 to November 12, 2026" in page
    job = kept(desk, 1)
    assert (job.drop_off_on, job.drop_off_half, job.promise_on, job.promise_half) == (
        FRIDAY,
        "afternoon",
        date(2026, 11, 12),
        "morning",
    )


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"drop_off_on": "2026-11-09", "promise_on": "2026-11-06"}, "on or after the drop-off day"),
        ({"drop_off_on": "soon"}, "soon"),
        ({"promise_on": "2020-01-01"}, "on or after the drop-off day"),
        ({"drop_off_half": "midnight"}, "Choose one from the list"),
    ],
)
def test_days_that_cannot_be_are_refused_and_stay_typed(desk: ShopClient, typed: dict[str, str], sentence: str) -> None:
    answer = desk.press("/diary/jobs/1", **({"drop_off_half": "", "promise_half": ""} | typed))
    assert answer.status_code == 422
    assert sentence in answer.text
    assert all(value in answer.text for value in typed.values() if value != "midnight")
    assert kept(desk, 1).promise_on == FRIDAY


def test_the_suggested_day_is_taken_from_the_page_of_the_job(desk: ShopClient) -> None:
    page = desk.text("/jobs/2")
    assert "Drop-off this afternoon, ready " in page
    assert "Use this day" in page
    given = {"drop_off_on": "2026-11-05", "drop_off_half": "afternoon", "promise_on": "2026-11-09"}
    page = desk.press_on("/diary/jobs/2/take", promise_half="afternoon", **given)
    assert "Saved. Tell the customer." in page
    job = kept(desk, 2)
    assert (job.drop_off_on, job.promise_on, job.promise_half) == (THURSDAY, MONDAY, "afternoon")


def test_a_press_with_days_that_are_none_changes_nothing(desk: ShopClient) -> None:
    answer = desk.press("/diary/jobs/2/take", promise_on="Friday", promise_half="noon")
    assert answer.status_code == 303
    assert kept(desk, 2).promise_on is None


def test_a_promise_that_will_not_be_kept_is_said_on_the_job(desk: ShopClient) -> None:
    too_soon = {"drop_off_on": "2026-11-05", "drop_off_half": "", "promise_on": "2026-11-05", "promise_half": ""}
    page = desk.press_on("/diary/jobs/1", **too_soon)
    assert "Saved. The diary expects it to be ready later." in page, (
        "the press leads to the job, which says what stands against it"
    )
    said = re.search(r"will be late: ready [\w ,]+", page)
    assert said is not None
    assert said[0] in desk.text("/diary/"), "every page says the same figure"
    assert said[0] in desk.text("/today")
    assert 'class="no" href="/jobs/1"' in desk.text("/today")
    later = desk.press_on("/diary/jobs/1", **(too_soon | {"promise_on": "2026-12-04"}))
    assert "The diary expects it to be ready later" not in later


def test_somebody_is_away_and_here_after_all(desk: ShopClient) -> None:
    page = desk.press_on("/diary/away", person_id=3, first="2026-11-06", last="2026-11-09", why="course")
    assert "Saved: 2 days off." in page
    assert "Dana is off" in page
    with desk.app.app_context():
        absence = db.session.scalars(select(Absence).order_by(Absence.on)).first()
    assert absence is not None
    assert "Time off removed." in desk.press_on(f"/diary/away/{absence.id}/remove")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"first": ""}, "Enter the first day off."),
        ({"first": "2026-11-09", "last": "2026-11-06"}, "The last day is before the first"),
        ({"first": "2026-11-07"}, "closed on those days anyway"),
        ({"first": "2026-11-06", "minutes_away": "30"}, "Enter hours from 0 to 24"),
        ({"first": "2026-11-06", "minutes_away": "0"}, "Enter up to 24 hours per day"),
        ({"first": "2026-11-06", "why": "x" * 300}, "at most 200 characters"),
        ({"first": "2026-11-06", "person_id": "99"}, "Choose one from the list"),
    ],
)
def test_an_absence_that_cannot_be_is_refused_beside_its_field(
    desk: ShopClient, typed: dict[str, str], sentence: str
) -> None:
    answer = desk.press("/diary/away", **({"person_id": "3"} | typed))
    assert answer.status_code == 422
    assert sentence in answer.text
    with desk.app.app_context():
        assert db.session.scalars(select(Absence)).all() == []


def test_the_kerb_says_when_the_car_could_come(desk: ShopClient) -> None:
    assert "Drop-off this afternoon, ready " in desk.text("/jobs/kerb?panel=bonnet")


def test_the_diary_is_the_desks_and_not_the_floors(desk: ShopClient) -> None:
    assert ShopClient(desk.app).signed_in_as("Dana").get("/diary/").status_code == 403

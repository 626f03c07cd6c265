"""The board as a page: promises that will not be met with their press, bars by place, one day of it for a phone."""

import re
from datetime import date

import pytest
from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.models.shop import Place
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.diary import FRIDAY, MONDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY


@pytest.fixture
def desk(app: Flask) -> ShopClient:
    """1 is here and will be late, 2 comes on Friday, 3 on Monday."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_promised_job(opened, comes=THURSDAY, back=THURSDAY, is_here=True)
        make_promised_job(opened, comes=FRIDAY, back=date(2026, 11, 12))
        make_promised_job(opened, comes=MONDAY, back=date(2026, 11, 13))
    return ShopClient(app).signed_in_as("Desk")


def kept(client: ShopClient, number: int) -> Job:
    with client.app.app_context():
        return db.session.scalars(select(Job).where(Job.number == number)).one()


def bars(page: str) -> dict[str, list[tuple[str, str]]]:
    """The columns of the runs, and the classes of the bars, by number of job."""
    found: dict[str, list[tuple[str, str]]] = {}
    for at, to, inside in re.findall(r'class="run" data-at="(\d+)" data-to="(\d+)">(.*?)</div>', page, re.DOTALL):
        number = re.findall(r"/jobs/(\d+)", inside)[0]
        found[number] = [(at, to), *((kind, "") for kind in re.findall(r'class="stay ([^"]*)"', inside))]
    return found


def test_a_car_is_a_bar_over_its_half_days_and_a_late_one_goes_on_past_its_promise(desk: ShopClient) -> None:
    shown = bars(desk.text("/diary/"))
    assert shown["2"][0] == ("4", "18"), "from Friday morning to the end of the sixth day, Thursday, November 12"
    assert shown["3"][0][0] == "7", "Monday, behind the gap of the weekend"
    kinds = [kind for kind, _ in shown["1"][1:]]
    assert kinds == ["late", "past"]


def test_a_promise_that_will_not_be_met_stands_on_top_with_the_press_of_today(desk: ShopClient) -> None:
    page = desk.text("/diary/")
    assert "Promises that will not be met" in page
    press = re.search(r'action="(/diary/jobs/1/take)".*?<button[^>]*>(Set \w+[^<]*)<', page, re.DOTALL)
    assert press is not None
    assert press[2] in desk.text("/today")
    fields = dict(re.findall(r'name="(promise_on|promise_half|told)" value="([^"]+)"', page))
    answer = desk.press("/diary/jobs/1/take", **fields)
    assert answer.headers["Location"] == "/diary/jobs/1/later"
    assert "Promises that will not be met" not in desk.text("/diary/")


def test_a_phone_shows_one_day_and_every_car_of_it_once(desk: ShopClient) -> None:
    today = desk.text("/diary/").partition('class="board-day"')[2]
    assert re.findall(r"<h2>(Going out|Coming in|Staying|Still here past their day)", today) == ["Going out"]
    friday = desk.text("/diary/?show=2026-11-06").partition('class="board-day"')[2]
    assert "Friday, November 6, 2026" in friday
    assert re.findall(r"<h2>(Going out|Coming in|Staying|Still here past their day)", friday) == [
        "Still here past their day",
        "Coming in",
    ]


def test_a_car_is_lifted_and_its_consequence_is_shown_before_it_is_saved(desk: ShopClient) -> None:
    page = desk.text("/diary/jobs/3/move?on=2026-11-06&half=morning")
    assert "Diary: moving 3" in page
    assert "If you save" in page
    assert "Save, 3 to tomorrow morning" in page
    assert "not saved yet" in page
    assert kept(desk, 3).drop_off_on == MONDAY
    fields = dict(re.findall(r'name="((?:drop_off|promise)_(?:on|half)|place_id)" value="([^"]*)"', page))
    said = desk.press_on("/diary/jobs/3/move", **fields)
    assert "3 comes tomorrow morning and is promised for" in said
    assert "Tell the customer." in said
    job = kept(desk, 3)
    assert (job.drop_off_on, job.drop_off_half) == (FRIDAY, "morning")
    assert (job.promise_on, job.promise_half) == (date.fromisoformat(fields["promise_on"]), fields["promise_half"])
    assert kept(desk, 2).drop_off_on == FRIDAY, "saving moves only the lifted car"


def test_a_move_is_undone_by_one_press(desk: ShopClient) -> None:
    page = desk.press_on(
        "/diary/jobs/3/move", drop_off_on="2026-11-06", drop_off_half="morning", promise_on="2026-11-12"
    )
    undo = re.search(r'action="(/undo/[^"]+)"', page)
    assert undo is not None
    desk.press_on(undo[1])
    assert (kept(desk, 3).drop_off_on, kept(desk, 3).promise_on) == (MONDAY, date(2026, 11, 13))


def test_steps_lead_half_a_day_on_and_never_into_the_past(desk: ShopClient) -> None:
    page = desk.text("/diary/jobs/2/move?step=earlier")
    assert "this afternoon" in page
    assert "on=2026-11-05&amp;half=morning" in page
    first = desk.text("/diary/jobs/2/move?on=2026-11-01&half=morning")
    assert 'data-key="ArrowLeft"' not in first
    assert 'data-key="ArrowRight"' in first


def test_the_place_is_moved_by_its_own_presses(desk: ShopClient) -> None:
    with desk.app.app_context():
        places = db.session.scalars(select(Place).order_by(Place.is_bay.desc(), Place.name)).all()
    page = desk.text(f"/diary/jobs/2/move?place={places[1].id}")
    assert f'name="place_id" value="{places[1].id}"' in page
    assert 'data-key="ArrowUp"' in page
    said = desk.press_on("/diary/jobs/2/move", drop_off_on="2026-11-06", promise_on="2026-11-12", place_id=places[1].id)
    assert "Saved." in said
    assert kept(desk, 2).place_id == places[1].id


@pytest.mark.parametrize(
    "typed",
    [
        {"drop_off_on": "2026-11-12", "promise_on": "2026-11-06"},
        {"drop_off_on": "soon", "promise_on": "2026-11-12"},
        {"drop_off_on": "2026-11-06", "promise_on": "2026-11-12", "place_id": "999"},
    ],
)
def test_a_move_that_cannot_be_is_refused_and_nothing_is_half_done(desk: ShopClient, typed: dict[str, str]) -> None:
    before = kept(desk, 3)
    answer = desk.press("/diary/jobs/3/move", **typed)
    assert answer.status_code in {303, 404}
    after = kept(desk, 3)
    assert (after.drop_off_on, after.promise_on, after.place_id) == (
        before.drop_off_on,
        before.promise_on,
        before.place_id,
    )


@pytest.mark.parametrize(
    "address", ["on=soon&half=noon", "on=9999-12-31", "place=999999999999999999999", "step=twice", "day=x&show=y"]
)
def test_an_address_that_makes_no_sense_leaves_the_car_where_it_is(desk: ShopClient, address: str) -> None:
    page = desk.text(f"/diary/jobs/3/move?{address}")
    assert "drop-off Monday morning, promised for Nov 13, afternoon" in page


def test_hours_on_the_board_are_said_to_one_scale(desk: ShopClient) -> None:
    with desk.app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_hands(opened, body="Sam B", paint="Dana B")
    page = desk.text("/diary/")
    assert "This week: body " in page
    assert re.search(r'aria-label="Paint: [\d.]+ of [\d.]+ h promised', page)


def test_whoever_may_not_change_the_diary_moves_no_car(desk: ShopClient) -> None:
    dana = ShopClient(desk.app).signed_in_as("Dana")
    assert dana.get("/diary/jobs/3/move").status_code == 403
    assert dana.press("/diary/jobs/3/move", drop_off_on="2026-11-06").status_code == 403


def test_a_caller_is_answered_in_two_presses_from_anywhere(desk: ShopClient) -> None:
    with desk.app.app_context(), Session(db.engine) as opened, transaction(opened):
        make_hands(opened, body="Sam C", paint="Dana C")
    assert 'href="/diary/"' in desk.text("/today")
    assert 'href="/diary/when"' in desk.text("/diary/")
    page = desk.text("/diary/when")
    offers = re.findall(r"<b>(Drop-off [^<]+, ready [^<]+)</b>", page)
    assert len(offers) == 3
    assert "Half a day is added until 30 cars are finished: 0 so far." in page
    books = re.findall(r'href="(/jobs/[^"]*drop_off_on=[^"]+)"', page)
    assert len(books) == 3
    form = desk.text(books[0].replace("&amp;", "&"))
    assert f'value="{re.findall(r"drop_off_on=([0-9-]+)", books[0])[0]}"' in form
    for typed in ("0", "9", "two", "1e5"):
        assert "Two panels" in desk.text(f"/diary/when?panels={typed}")

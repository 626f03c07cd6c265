"""Two cars at once: a start on a second one asks once in place, and both go on together after a pause."""

import pytest
from flask import Flask

from shopbook.models.floor import ClockEntry, RunningShare
from shopbook.models.jobs import Stage, StagePanel
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_open_job, make_use, make_wait, make_work
from tests.web.floor.test_floor import rows, set_clock
from tests.web.floor.test_late_presses import send

PRIME, MASK, BLOCK, POLISH = 1, 2, 3, 4


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    """Dana's phone at ten: two stages of job 1, one of job 2, one of job 3."""
    with app.app_context(), transaction(db.session()) as session:
        first = make_open_job(session)
        first.key_number = "7"
        make_work(session, "Prime", job=first)
        make_work(session, "Mask", job=first)
        make_work(session, "Block the door")
        make_work(session, "Polish")
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def clocked(client: ShopClient) -> list[int]:
    return sorted(share.stage_id for share in rows(client, RunningShare))  # type: ignore[attr-defined]


def start(client: ShopClient, stage: int, second: str = "") -> str:
    return client.press_on("/floor/start", stage=str(stage), second=second)


def test_a_start_on_a_second_car_asks_and_does_nothing_until_it_is_answered(dana: ShopClient) -> None:
    start(dana, PRIME)
    set_clock(dana, "10:20")
    assert "Your clock is running on 1 Prime." in start(dana, BLOCK)
    assert clocked(dana) == [PRIME]
    start(dana, BLOCK, "switch")
    assert clocked(dana) == [BLOCK]
    (entry,) = rows(dana, ClockEntry)
    assert entry.minutes == 20  # type: ignore[attr-defined]


def test_both_share_the_clock_from_the_second_start(dana: ShopClient) -> None:
    """Prime alone from 10:00, both from 10:20 to 11:00, an hour planned on each: 20 + 20 and 20 minutes."""
    start(dana, PRIME)
    set_clock(dana, "10:20")
    start(dana, BLOCK, "both")
    assert clocked(dana) == [PRIME, BLOCK]
    set_clock(dana, "11:00")
    dana.press_on("/floor/pause")
    assert [entry.minutes for entry in rows(dana, ClockEntry)] == [20, 40]  # type: ignore[attr-defined]


def test_another_stage_of_the_same_car_is_switched_without_a_question(dana: ShopClient) -> None:
    start(dana, PRIME)
    start(dana, MASK)
    assert clocked(dana) == [MASK]


def test_a_stage_of_one_of_two_running_cars_asks_so_that_the_other_is_not_left_unseen(dana: ShopClient) -> None:
    start(dana, PRIME)
    start(dana, BLOCK, "both")
    assert "Your clock is running on 2 Block the door." in start(dana, MASK)
    assert clocked(dana) == [PRIME, BLOCK]


def test_nothing_is_asked_while_the_clock_runs_on_no_car(dana: ShopClient) -> None:
    dana.press_on("/floor/other", what="cleaning")
    start(dana, BLOCK)
    assert clocked(dana) == [BLOCK]


def test_a_clock_that_ran_past_lunch_is_no_second_car(dana: ShopClient) -> None:
    start(dana, PRIME)
    set_clock(dana, "13:30")
    start(dana, BLOCK)
    assert clocked(dana) == [BLOCK]


def test_the_page_asks_in_place_before_anything_is_sent(dana: ShopClient) -> None:
    assert '<details class="ask">' not in dana.text("/floor/")
    start(dana, PRIME)
    page = dana.text("/floor/")
    assert page.count('<details class="ask">') == 2
    assert page.count('name="second" value="switch"') == page.count('name="second" value="both"') == 2
    for stage, asks in ((BLOCK, True), (MASK, False)):
        bar = dana.text(f"/floor/stages/{stage}").split('class="thumb"')[1]
        assert ('<details class="ask">' in bar) is asks


def test_a_third_car_can_be_worked_on_with_all(dana: ShopClient) -> None:
    start(dana, PRIME)
    start(dana, BLOCK, "both")
    assert "Work on all 3" in dana.text("/floor/")
    start(dana, POLISH, "both")
    assert clocked(dana) == [PRIME, BLOCK, POLISH]


def test_both_go_on_together_after_a_pause_with_one_press(dana: ShopClient) -> None:
    start(dana, PRIME)
    start(dana, BLOCK, "both")
    set_clock(dana, "10:20")
    dana.press_on("/floor/pause")
    assert "Go on with both" in dana.text("/floor/")
    dana.press_on("/floor/other", what="phone")
    assert "Go on with both" in dana.text("/floor/")
    dana.press_on("/floor/start", stage=[str(PRIME), str(BLOCK)], second="both")
    assert clocked(dana) == [PRIME, BLOCK]
    assert "Go on with both" not in dana.text("/floor/")


def test_they_go_on_together_after_lunch_too(dana: ShopClient) -> None:
    start(dana, PRIME)
    start(dana, BLOCK, "both")
    set_clock(dana, "13:30")
    assert "Go on with both" in dana.text("/floor/")


@pytest.mark.parametrize("ended", ["done", "alone"])
def test_cars_that_were_parted_are_not_offered_together(dana: ShopClient, ended: str) -> None:
    start(dana, PRIME)
    start(dana, BLOCK, "both")
    set_clock(dana, "10:20")
    dana.press_on("/floor/pause")
    if ended == "done":
        dana.press_on("/floor/done", stage=str(PRIME))
    else:
        start(dana, BLOCK)
        set_clock(dana, "10:40")
        dana.press_on("/floor/pause")
    assert "Go on with" not in dana.text("/floor/")


def test_the_press_of_a_phone_is_asked_with_both_answers_and_keeps_waiting(dana: ShopClient) -> None:
    """A page from before the clock ran sends it: the phone shows the question, and sends the answer with the press."""
    start(dana, PRIME)
    answer = send(dana, "/floor/start", waited=0, stage=str(BLOCK))
    told = answer.json
    assert (answer.status_code, told["code"], told["field"]) == (409, "asked", "second")
    assert set(told["choices"]) == {"switch", "both"}
    assert clocked(dana) == [PRIME]


def test_what_runs_names_car_key_panel_grits_and_the_next_wait(dana: ShopClient) -> None:
    """An hour of blocking from 10:00, and 180 minutes of drying behind it: the next stage from 2:00 pm."""
    with dana.app.app_context(), transaction(db.session()) as session:
        prime = session.get_one(Stage, PRIME)
        make_wait(session, prime, 180)
        session.add(StagePanel(stage_id=PRIME, panel="hood", minutes=60))
        make_use(session, prime, "disc_p400", 1, unit="each", mix="")
    start(dana, PRIME)
    running = dana.text("/floor/").split("Running")[1].split("</section>")[0]
    for told in ("1 · Prime", "hatchback, harbour blue, KTR 204", "key 7", "hood", "P400", "next stage from 2:00"):
        assert told in running, told

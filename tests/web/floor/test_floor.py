"""The floor's pages, pressed as a painter presses them."""

from datetime import date

import pytest
from flask import Flask
from sqlalchemy import event, select

from shopbook.models.floor import Attendance, ClockEntry, Mix, RunningClock, SprayRecord, Trouble
from shopbook.models.jobs import Job, Stage
from shopbook.models.session import transaction
from shopbook.queries.shop.people import find_person_named, get_actor
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_entry, make_use, make_work
from tests.makers.jobs import make_planned_job
from tests.makers.shop import STARTED

WEDNESDAY = date(2026, 11, 4)
MASK, POLISH, CLEAR, MORNING = 1, 2, 3, 5


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    """Dana's phone at noon: two agreed stages, one with clear to mix and one without a yes."""
    with app.app_context(), transaction(db.session()) as session:
        make_work(session, "Degrease, mask, tack")
        make_work(session, "Nib, polish", is_agreed=False)
        clear = make_work(session, "Clear the bonnet")
        make_use(session, clear, "clear", 320)
        make_use(session, clear, "clear_activator", 160)
    app.config["CLOCK"] = lambda: at("10:00")
    return ShopClient(app).signed_in_as("Dana")


def rows(client: ShopClient, table: type) -> list[object]:
    with client.app.app_context():
        return list(db.session.scalars(select(table)).all())


def set_clock(client: ShopClient, clock: str, day: date | None = None) -> None:
    moment = at(clock, day) if day else at(clock)
    client.app.config["CLOCK"] = lambda: moment


def test_a_day_is_a_few_presses(dana: ShopClient) -> None:
    page = dana.press_on("/floor/start", stage=str(MASK))
    assert "Degrease, mask, tack" in page
    set_clock(dana, "10:30")
    page = dana.press_on("/floor/done", stage=str(MASK))
    assert "Done as planned: Degrease, mask, tack." in page
    (entry,) = rows(dana, ClockEntry)
    assert isinstance(entry, ClockEntry)
    assert entry.minutes == 30


def test_two_presses_at_once_start_one_clock(dana: ShopClient) -> None:
    answers = [dana.press("/floor/start", key="one", stage=str(MASK)) for _ in range(2)]
    assert len({answer.headers["Location"] for answer in answers}) == 1
    assert len(rows(dana, RunningClock)) == 1
    assert rows(dana, ClockEntry) == []


def test_the_list_flags_what_nobody_said_yes_to_and_still_lets_it_begin(dana: ShopClient) -> None:
    page = dana.text("/floor/")
    assert "not approved, not billable yet" in page
    assert dana.press("/floor/start", stage=str(POLISH)).status_code == 303


def test_done_on_the_stage_page_keeps_an_untouched_mix_as_assumed(dana: ShopClient) -> None:
    page = dana.text(f"/floor/stages/{CLEAR}")
    assert "Mix 480 ml" in page
    fields = {"mix_clear_medium": "480", "left_clear_medium": "0"}
    assert dana.press(f"/floor/stages/{CLEAR}", **fields).status_code == 303
    (mix,) = rows(dana, Mix)
    assert isinstance(mix, Mix)
    assert (mix.total_thousandths, mix.is_assumed) == (480_000, True)


@pytest.mark.parametrize("typed", ["some", "-5", "9" * 14, "10 miles"])
def test_an_amount_that_is_none_is_refused_beside_its_field_and_kept(dana: ShopClient, typed: str) -> None:
    answer = dana.press(f"/floor/stages/{CLEAR}", mix_clear_medium=typed, left_clear_medium="0")
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.text
    assert 'class="error"' in answer.text
    assert rows(dana, Mix) == []
    with dana.app.app_context():
        assert db.session.get_one(Stage, CLEAR).finished_at is None


def test_more_left_than_mixed_is_refused(dana: ShopClient) -> None:
    answer = dana.press(f"/floor/stages/{CLEAR}", mix_clear_medium="100", left_clear_medium="200")
    assert answer.status_code == 422
    assert "More is left than was mixed" in answer.text


def test_a_press_for_no_stage_says_what_to_do(dana: ShopClient) -> None:
    assert "Choose the stage" in dana.press_on("/floor/start", stage="x")
    assert dana.press("/floor/start", stage="999999").status_code == 404


def test_trouble_shows_what_to_do_and_adds_its_rework(dana: ShopClient) -> None:
    page = dana.text(f"/floor/stages/{CLEAR}/trouble/fish_eye/clear")
    assert "Drain the air filter" in page
    page = dana.press_on(f"/floor/stages/{CLEAR}/trouble/fish_eye/clear", cause="", other="wax", note="<b>left</b>")
    assert "Added to the plan" in page
    (trouble,) = rows(dana, Trouble)
    assert isinstance(trouble, Trouble)
    assert (trouble.cause, trouble.note) == ("wax", "<b>left</b>")
    assert dana.get(f"/floor/stages/{CLEAR}/trouble/gremlins/clear").status_code == 404


def test_a_mix_by_hand_must_come_to_what_was_mixed(dana: ShopClient) -> None:
    url = f"/floor/stages/{CLEAR}/mix"
    fields = {"name": "Clear", "parts-0-material": "0", "parts-0-amount": "200", "left": "0"}
    shares = {"shares-0-stage": str(CLEAR), "shares-0-amount": "50"}
    answer = dana.press(url, **fields, **shares)
    assert answer.status_code == 422
    assert "do not add up to the mix" in answer.text
    assert dana.press(url, **fields).status_code == 303


def test_a_spray_record_refuses_letters_and_keeps_figures(dana: ShopClient) -> None:
    url = f"/floor/stages/{CLEAR}/spray"
    fields = {"product": "clear_medium", "on": "2026-11-05", "coats": "2"}
    answer = dana.press(url, **fields, tip_mm="wide")
    assert answer.status_code == 422
    assert "Enter a number, for example 1.3" in answer.text
    assert "Enter 0 to 100." in dana.press(url, **fields, humidity_percent="101").text
    typed = {"tip_mm": "1,3", "temperature_c": "70", "inlet_bar": "26", "distance_cm": "6"}
    assert dana.press(url, **fields, **typed).status_code == 303
    (record,) = rows(dana, SprayRecord)
    assert isinstance(record, SprayRecord)
    assert record.temperature_tenths == 211
    assert record.gun == {"coats": 2, "tip_mm": 1.3, "inlet_bar": 1.793, "distance_cm": 15.24}


def test_the_gun_is_asked_for_in_the_units_of_the_shop_and_an_impossible_figure_stays_there(dana: ShopClient) -> None:
    url = f"/floor/stages/{CLEAR}/spray"
    page = " ".join(dana.text(url).split())
    assert "psi to" in page
    assert "usually " in page
    assert " in to " in page
    answer = dana.press(url, product="clear_medium", on="2026-11-05", coats="2", inlet_bar="400", temperature_c="300")
    assert "from 0.1 bar (1 psi) to 10 bar (145 psi)" in answer.text
    assert 'value="400"' in answer.text


def test_the_day_is_put_right_with_one_press_a_hole(dana: ShopClient) -> None:
    with dana.app.app_context(), transaction(db.session()) as session:
        painter = find_person_named(session, "Dana")
        assert painter is not None
        session.add(_here(painter.id))
        make_entry(session, get_actor(session, painter.id), session.get_one(Stage, MASK), "8:12", "12:00")
    set_clock(dana, "17:30")
    page = dana.text("/floor/day")
    assert "degrease, started early" in page
    hole = {"begins": at("8:00").isoformat(), "ends": at("8:12").isoformat()}
    page = dana.press_on("/floor/day/place?on=2026-11-05", **hole, where=f"stage:{MASK}")
    assert "0.2 h placed." in page
    assert "Filled 1 gap by our guess" in dana.press_on("/floor/day/guesses?on=2026-11-05")
    assert "Fill the gaps" not in dana.text("/floor/day")


def _here(person_id: int) -> Attendance:
    return Attendance(
        person_id=person_id, on=date(2026, 11, 5), came_at=at("8:00"), went_at=at("16:30"), at=at("16:30"),
        by_person_id=person_id,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("begins", "where", "status"),
    [("nonsense", "cleaning", 404), ("2026-11-05T13:00:00+00:00", "", 303), ("2026-11-05T13:00:00", "cleaning", 404)],
)
def test_a_press_that_was_tampered_with_places_nothing(dana: ShopClient, begins: str, where: str, status: int) -> None:
    set_clock(dana, "17:30")
    answer = dana.press("/floor/day/place", begins=begins, ends="2026-11-05T14:00:00+00:00", where=where)
    assert answer.status_code == status
    assert rows(dana, ClockEntry) == []


def test_a_paper_card_says_which_line_is_wrong_and_keeps_all_that_was_typed(dana: ShopClient) -> None:
    set_clock(dana, "17:30")
    card = {"person": "3", "on": "2026-11-05", "lines-0-begins": "8:00", "lines-0-ends": "", "lines-0-where": "phone"}
    answer = dana.press("/floor/card", **card)
    assert answer.status_code == 422
    assert "Line 1 needs a start" in answer.text
    assert 'value="8:00"' in answer.text
    page = dana.press_on("/floor/card", **(card | {"lines-0-ends": "14:00"}))
    assert "Saved from the card: 2 lines" in page


def test_a_paper_card_dated_before_the_job_is_refused(dana: ShopClient) -> None:
    with dana.app.app_context(), transaction(db.session()) as session:
        for job in session.scalars(select(Job)):
            job.opened_on = date(2026, 11, 5)
    card = {"person": "3", "on": "2026-11-04", "lines-0-begins": "8:00", "lines-0-ends": "9:00"}
    answer = dana.press("/floor/card?on=2026-11-04", **card, **{"lines-0-where": f"stage:{MASK}"})
    assert answer.status_code == 422
    assert "not opened yet on that day" in answer.text
    assert rows(dana, ClockEntry) == []


def test_nobody_sees_anothers_day_but_the_desk(dana: ShopClient) -> None:
    assert dana.get("/floor/day?person=1").status_code == 403
    desk = ShopClient(dana.app).signed_in_as("Desk")
    assert desk.get("/floor/day?person=3").status_code == 200


@pytest.mark.parametrize(
    "url", ["/floor/day?on=tomorrow", "/floor/day?on=2030-01-01", "/floor/stages/999", "/floor/entries/9"]
)
def test_what_is_not_there_is_a_page(dana: ShopClient, url: str) -> None:
    assert dana.get(url).status_code == 404


def test_looking_stops_a_clock_that_ran_past_closing(dana: ShopClient) -> None:
    dana.press_on("/floor/start", stage=str(MASK))
    set_clock(dana, "9:00", date(2026, 11, 6))
    assert "Running ·" not in dana.text("/floor/")
    (entry,) = rows(dana, ClockEntry)
    assert isinstance(entry, ClockEntry)
    assert entry.minutes == 120


def test_strip_and_look_starts_a_stage_of_its_own(dana: ShopClient) -> None:
    answer = dana.press("/floor/own", job="", purpose="strip_and_look")
    assert answer.status_code == 422
    assert "Choose a car." in answer.text
    page = dana.press_on("/floor/own", job="1", purpose="strip_and_look", note="behind the bumper")
    assert "Strip and inspect: behind the bumper" in page


def test_a_customers_word_reaches_the_desk(dana: ShopClient) -> None:
    page = dana.press_on("/floor/spoken?what=yes", job="1", note="to the mirror too")
    assert "The desk sees it" in page


def test_the_job_card_is_a_paper_of_equal_bytes_without_prices(dana: ShopClient) -> None:
    with dana.app.app_context(), transaction(db.session()) as session:
        number = make_planned_job(session, is_agreed=True).number
    first, second = (dana.get(f"/floor/jobs/{number}/card.pdf") for _ in range(2))
    assert first.mimetype == "application/pdf"
    assert first.data == second.data
    assert first.headers["Content-Disposition"].startswith("inline")


def test_the_statements_of_the_list_do_not_grow_with_the_cars(dana: ShopClient) -> None:
    few = _statements(dana)
    with dana.app.app_context(), transaction(db.session()) as session:
        for _ in range(6):
            make_planned_job(session, is_agreed=True).came_at = STARTED
    assert _statements(dana) <= few + 1


def _statements(client: ShopClient) -> int:
    seen: list[str] = []

    def note(*told: object) -> None:
        seen.append(str(told[2]))

    with client.app.app_context():
        engine = db.engine
    event.listen(engine, "before_cursor_execute", note)
    client.text("/floor/")
    event.remove(engine, "before_cursor_execute", note)
    return len(seen)

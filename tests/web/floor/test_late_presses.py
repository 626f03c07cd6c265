"""A press that waited on a phone reaches the book: once, at its own time, by its own person, or it is shown first."""

import io
import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from PIL import Image
from sqlalchemy import select
from werkzeug.test import TestResponse

from shopbook.models.floor import ClockEntry, Mix, RunningClock, RunningShare, Trouble
from shopbook.models.jobs import Picture, Stage
from shopbook.models.money import MonthClose
from shopbook.models.session import transaction
from shopbook.models.shop import ActKey, LogLine
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.people import find_person_named, get_actor
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.web.parts.act import db
from shopbook.web.parts.late import stamp_page
from tests.clients import ShopClient
from tests.makers.floor import at, make_use, make_work
from tests.makers.jobs import make_planned_job

MASK, CLEAR = 1, 2
WHERE = "/floor/start"
NIGHT = datetime(2026, 11, 6, 2, 30, tzinfo=UTC)


@pytest.fixture
def dana(app: Flask) -> ShopClient:
    """Dana's phone: a page that she was given at 8:30, and a server that hears of it at 9:41."""
    with app.app_context(), transaction(db.session()) as session:
        make_work(session, "Degrease, mask, tack")
        clear = make_work(session, "Clear the bonnet")
        make_use(session, clear, "clear", 320)
        make_use(session, clear, "clear_activator", 160)
    turn(app, at("9:41"))
    return ShopClient(app).signed_in_as("Dana")


def turn(app: Flask, moment: datetime) -> None:
    app.config["CLOCK"] = lambda: moment


def stamp(client: ShopClient, who: str = "Dana", given_at: datetime | None = None) -> str:
    with client.app.app_context():
        person = find_person_named(db.session(), who)
        assert person is not None
        return stamp_page(person.id, given_at or at("8:30"))


def send(client: ShopClient, url: str, *, waited: int = 39, key: str = "a key", **fields: Any) -> TestResponse:
    """As press.js sends it: the form, with its own fields, asking for JSON; `waited` in minutes."""
    given = {
        "csrf_token": "token",
        "act_key": key,
        "press_given": stamp(client),
        "press_waited": str(waited * 60_000),
    }
    return client.http.post(url, data=given | fields, headers={"Accept": "application/json"})


def rows(client: ShopClient, table: type) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(table)).all())


def late_lines(client: ShopClient) -> list[str]:
    return [line.words for line in rows(client, LogLine) if line.subject == "late_press"]


def by(client: ShopClient, who: str, stage_id: int, clock: str) -> None:
    """Somebody starts on a stage at another screen."""
    with client.app.app_context(), transaction(db.session()) as session:
        person = find_person_named(session, who)
        assert person is not None
        start_clock(Act(session, get_actor(session, person.id), at(clock)), [stage_id])


def was(stage: str = "Degrease, mask, tack: open", clock: str = "Your clock: stopped", key: int = MASK) -> str:
    return json.dumps({f"stage {key}": stage, "clock": clock})


def test_a_start_pressed_at_9_02_counts_from_then_and_log_and_day_sheet_say_both_times(dana: ShopClient) -> None:
    answer = send(dana, WHERE, stage=str(MASK), press_was=was())
    assert (answer.status_code, answer.json["url"]) == (200, f"/floor/stages/{MASK}")
    (clock,) = rows(dana, RunningClock)
    assert clock.started_at == at("9:02")
    (line,) = late_lines(dana)
    assert line.startswith("Pressed 9:02 am, arrived 9:41 am: Start, ")
    assert line.endswith("Degrease, mask, tack")
    assert line in dana.text("/floor/day")


def test_the_same_press_sent_again_after_the_answer_was_lost_is_done_once_and_told(dana: ShopClient) -> None:
    first, second = (send(dana, WHERE, stage=str(MASK), press_was=was()) for _ in range(2))
    assert first.json == second.json
    assert len(rows(dana, RunningClock)) == len(late_lines(dana)) == 1
    assert "Clock running." in dana.text("/floor/")


def test_a_press_that_arrives_at_once_is_as_a_plain_form_and_says_nothing_of_it(dana: ShopClient) -> None:
    answer = send(dana, WHERE, waited=0, stage=str(MASK), press_was=was(clock="Your clock: running since 8:00 am"))
    assert answer.status_code == 200
    (clock,) = rows(dana, RunningClock)
    assert clock.started_at == at("9:41")
    assert late_lines(dana) == []


def test_a_late_press_can_be_undone_and_its_times_stay_said(dana: ShopClient) -> None:
    send(dana, WHERE, stage=str(MASK), press_was=was())
    assert "/undo/a%20key" in dana.text("/floor/")
    dana.press_on("/undo/a key")
    assert rows(dana, RunningClock) == []
    assert len(late_lines(dana)) == 1


def test_a_press_never_counts_from_before_its_page_was_given(dana: ShopClient) -> None:
    send(dana, WHERE, waited=300, stage=str(MASK))
    (clock,) = rows(dana, RunningClock)
    assert clock.started_at == at("8:30")


def test_start_pause_and_done_kept_in_order_make_the_day_that_they_would_have_made(dana: ShopClient) -> None:
    """Start 8:40, pause 8:55, start 9:00, done 9:30, all arriving at 9:41: 15 and 30 minutes."""
    steps = [("/floor/start", 61), ("/floor/pause", 46), ("/floor/start", 41), ("/floor/done", 11)]
    for number, (url, waited) in enumerate(steps):
        assert send(dana, url, waited=waited, key=f"key {number}", stage=str(MASK)).status_code == 200
    entries = sorted(rows(dana, ClockEntry), key=lambda entry: entry.started_at)
    spans = [(entry.started_at, entry.stopped_at) for entry in entries]
    assert spans == [(at("8:40"), at("8:55")), (at("9:00"), at("9:30"))]
    stage = next(stage for stage in rows(dana, Stage) if stage.id == MASK)
    assert stage.finished_at == at("9:30")
    with dana.app.app_context():
        assert [fault for proof in list_proofs(db.session()) for fault in proof.faults] == []


def test_an_answer_says_how_it_stands_now_so_that_the_next_press_is_no_surprise(dana: ShopClient) -> None:
    now = send(dana, WHERE, stage=str(MASK), press_was=was()).json["now"]
    assert now == {f"stage {MASK}": "Degrease, mask, tack: open", "clock": "Your clock: running since 9:02 am"}
    answer = send(dana, "/floor/pause", waited=20, key="next", press_was=json.dumps({"clock": now["clock"]}))
    assert answer.status_code == 200


def test_where_somebody_else_began_on_it_meanwhile_the_press_is_shown_with_both_states(dana: ShopClient) -> None:
    by(dana, "Noor", MASK, "9:20")
    answer = send(dana, "/floor/done", stage=str(MASK), press_was=was())
    assert (answer.status_code, answer.json["code"]) == (409, "changed")
    assert answer.json["was"] == ["Degrease, mask, tack: open"]
    assert answer.json["now"] == ["Degrease, mask, tack: Noor on it"]
    assert rows(dana, ActKey) == []


def test_sent_all_the_same_it_takes_nothing_of_the_other_ones_time(dana: ShopClient) -> None:
    by(dana, "Noor", MASK, "9:20")
    assert send(dana, "/floor/done", stage=str(MASK), press_was=was(), press_sure="yes").status_code == 200
    (entry,) = rows(dana, ClockEntry)
    assert (entry.started_at, entry.stopped_at) == (at("9:20"), at("9:41"))


def test_a_clock_started_elsewhere_meanwhile_is_shown_and_never_written_over(dana: ShopClient) -> None:
    by(dana, "Dana", CLEAR, "9:20")
    answer = send(dana, WHERE, stage=str(MASK), press_was=was())
    assert answer.json["now"] == ["Your clock: running since 9:20 am"]
    asked = send(dana, WHERE, stage=str(MASK), press_was=was(), press_sure="yes")
    assert (asked.status_code, asked.json["code"]) == (409, "asked")
    assert send(dana, WHERE, stage=str(MASK), press_was=was(), press_sure="yes", second="switch").status_code == 200
    (clock,), (share,) = rows(dana, RunningClock), rows(dana, RunningShare)
    assert (clock.started_at, share.stage_id) == (at("9:20"), MASK)


def test_what_noor_pressed_is_not_sent_by_dana(dana: ShopClient) -> None:
    answer = send(dana, WHERE, stage=str(MASK), press_given=stamp(dana, "Noor"))
    assert (answer.status_code, answer.json["code"]) == (409, "person")
    assert rows(dana, RunningClock) == []


def test_a_stamp_that_was_changed_is_refused(dana: ShopClient) -> None:
    answer = send(dana, WHERE, stage=str(MASK), press_given=stamp(dana)[:-2] + "xx")
    assert (answer.status_code, answer.json["code"]) == (422, "refused")


def test_where_the_session_ended_the_press_stays_on_the_phone(dana: ShopClient) -> None:
    given = stamp(dana)
    stranger = ShopClient(dana.app)
    with stranger.http.session_transaction() as cookie:
        cookie["csrf"] = "another"
    answer = send(stranger, WHERE, stage=str(MASK), press_given=given)
    assert (answer.status_code, answer.json) == (403, {"code": "token", "token": "another"})
    answer = send(stranger, WHERE, stage=str(MASK), press_given=given, csrf_token="another")
    assert (answer.status_code, answer.json["code"]) == (401, "signed_out")


def test_past_twelve_hours_a_person_sets_the_time(dana: ShopClient) -> None:
    """Pressed at 8:31 by the shop's clock, the phone lay flat until 9:30 in the evening."""
    turn(dana.app, NIGHT)
    answer = send(dana, "/floor/done", waited=13 * 60, stage=str(MASK))
    assert (answer.status_code, answer.json["code"]) == (409, "old")
    for wrong in ("2026-11-05T08:12", "2026-11-05T22:00", "tomorrow"):
        assert send(dana, "/floor/done", waited=13 * 60, stage=str(MASK), press_at=wrong).json["code"] == "old"
    assert send(dana, "/floor/done", waited=13 * 60, stage=str(MASK), press_at="2026-11-05T09:02").status_code == 200
    stage = next(stage for stage in rows(dana, Stage) if stage.id == MASK)
    assert stage.finished_at == at("9:02")
    assert late_lines(dana)[0].startswith("Pressed 9:02 am as set by hand, arrived 9:30 pm: Done, ")


def test_a_press_older_than_the_keys_of_acts_is_entered_by_hand(dana: ShopClient) -> None:
    answer = send(dana, WHERE, waited=60, stage=str(MASK), press_given=stamp(dana, given_at=at("9:00") - timedelta(29)))
    assert answer.status_code == 422
    assert "too old" in answer.json["sentence"]


def test_done_with_a_mix_keeps_the_typed_figures_and_a_recorded_mix_meanwhile_is_shown(dana: ShopClient) -> None:
    said = json.dumps({f"mixes {CLEAR}": "Mixes to enter: none"})
    shown = send(dana, f"/floor/stages/{CLEAR}", mix_clear_medium="450", left_clear_medium="0", press_was=said)
    assert (shown.status_code, shown.json["was"]) == (409, ["Mixes to enter: none"])
    said = json.dumps({f"mixes {CLEAR}": shown.json["now"][0]})
    assert (
        send(dana, f"/floor/stages/{CLEAR}", mix_clear_medium="450", left_clear_medium="0", press_was=said).status_code
        == 200
    )
    (mix,) = rows(dana, Mix)
    assert mix.total_thousandths == 450_000
    assert mix.at == at("9:02")


def test_a_mistyped_mix_is_refused_with_its_sentence(dana: ShopClient) -> None:
    answer = send(dana, f"/floor/stages/{CLEAR}", mix_clear_medium="much", left_clear_medium="0")
    assert (answer.status_code, answer.json["code"]) == (422, "refused")
    assert answer.json["sentence"].startswith("Enter")


def test_trouble_and_a_place_on_the_day_sheet_come_late_too(dana: ShopClient) -> None:
    assert send(dana, f"/floor/stages/{CLEAR}/trouble/run/clear", cause="", other="hung on a door").status_code == 200
    (trouble,) = rows(dana, Trouble)
    assert trouble.at == at("9:02")
    assert send(dana, "/floor/day?on=2026-11-05", key="day", came="8:30", went="").status_code == 200
    shown = send(
        dana,
        "/floor/day?on=2026-11-05",
        key="again",
        came="8:15",
        press_was=json.dumps({f"day {dana_id(dana)} 2026-11-05": "Day sheet: 0 entries, not clocked in"}),
    )
    assert shown.json["now"] == ["Day sheet: 0 entries, here from 8:30 am"]


def dana_id(client: ShopClient) -> int:
    with client.app.app_context():
        person = find_person_named(db.session(), "Dana")
        assert person is not None
        return person.id


def test_a_photo_is_kept_once_however_often_it_is_sent(dana: ShopClient) -> None:
    with dana.app.app_context(), transaction(db.session()) as session:
        number = make_planned_job(session).number
    shot = io.BytesIO()
    Image.new("RGB", (40, 30), "#2f5f9b").save(shot, "JPEG")
    for _ in range(2):
        photo = (io.BytesIO(shot.getvalue()), "door.jpg")
        assert send(dana, f"/jobs/{number}/pictures", photo=photo, purpose="was_there").status_code == 200
    (picture,) = rows(dana, Picture)
    assert picture.at == at("9:02")
    assert send(dana, f"/jobs/{number}/pictures", key="none").json["sentence"] == "Choose a photo first."


def test_no_other_press_can_be_dated_back(app: Flask) -> None:
    """What is not marked counts when it arrives, whatever a browser sends with it."""
    turn(app, at("9:41"))
    noor = ShopClient(app).signed_in_as("Noor")
    answer = send(noor, "/customers/new", press_given=stamp(noor, "Noor"), name="Jana Kirk", phone="555 0100")
    assert answer.status_code == 200
    added = [line for line in rows(noor, LogLine) if line.act == "add_customer"]
    assert [line.at for line in added] == [at("9:41")]


def test_a_day_in_a_closed_month_is_never_written(dana: ShopClient) -> None:
    """Pressed in the last minutes of October, which was closed before it arrived: it counts from 1 November."""
    november = date(2026, 11, 1)
    with dana.app.app_context(), transaction(db.session()) as session:
        session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=at("0:10", november)))
    turn(dana.app, at("0:20", november))
    given = stamp(dana, given_at=at("23:00", date(2026, 10, 31)))
    assert send(dana, "/floor/done", waited=40, stage=str(MASK), press_given=given).status_code == 200
    stage = next(stage for stage in rows(dana, Stage) if stage.id == MASK)
    assert stage.finished_at == at("0:00", november)

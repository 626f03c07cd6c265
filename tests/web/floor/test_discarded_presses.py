"""A press that waited on a phone is discarded: by its person or the owner, and never once the book has it."""

from werkzeug.test import TestResponse

from shopbook.models.floor import RunningClock
from tests.clients import ShopClient
from tests.web.floor.test_late_presses import MASK, WHERE, dana, late_lines, rows, send, stamp

__all__ = ["dana"]


def discard(client: ShopClient, whose: str, key: str = "a key") -> TestResponse:
    given = {"press_key": key, "press_stamp": stamp(client, whose), "press_age": str(39 * 60_000)}
    return client.http.post(
        "/presses/discard",
        data=given | {"csrf_token": "token", "act_key": f"discard {whose} {key}", "press_words": "Start: 1 Degrease"},
        headers={"Accept": "application/json"},
    )


def test_only_its_person_or_the_owner_discards_a_press_and_the_log_says_so(dana: ShopClient) -> None:
    assert discard(dana, "Noor").status_code == 403
    assert discard(dana, "Dana").status_code == 200
    assert late_lines(dana) == ["Discarded a press of 9:02 am that had waited on a phone: Start: 1 Degrease"]
    assert send(dana, WHERE, stage=str(MASK)).status_code == 409
    noor = ShopClient(dana.app).signed_in_as("Noor")
    assert discard(noor, "Dana", "another key").status_code == 200


def test_what_had_reached_the_book_cannot_be_discarded(dana: ShopClient) -> None:
    assert send(dana, WHERE, stage=str(MASK)).status_code == 200
    answer = discard(dana, "Dana")
    assert answer.status_code == 409
    assert "had reached the book" in answer.json["sentence"]
    assert len(rows(dana, RunningClock)) == 1

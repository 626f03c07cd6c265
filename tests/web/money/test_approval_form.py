"""The form of an approval: nothing chosen beforehand, a total that follows the ticks, and a payer who says no."""

import re
from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from shopbook.models.money import Approval
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences

TODAY = datetime(2026, 11, 5, 14, 0, tzinfo=UTC)


def approved(client: ShopClient) -> Approval:
    with client.app.app_context():
        row = db.session.scalars(select(Approval)).one()
        db.session.expunge(row)
        db.session.remove()
    return row


BY_PHONE = {"groups": ["1"], "means": "phone", "revision": "2", "taken_by": "2"}


def test_nobody_and_no_way_is_chosen_by_the_program(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    page = quoted.text("/money/quotes/1/approval")
    radios = re.findall(r"<input[^>]*type=\"radio\"[^>]*>", page)
    takers = [radio for radio in radios if 'name="taken_by"' in radio]
    assert takers
    assert len(radios) - len(takers) == 7
    assert not any("checked" in radio for radio in radios)
    assert re.search(r'<input[^>]*name="said_by"[^>]*value=""', page)
    assert "<b>Ines Okafor</b>" in page, "offered as a press"
    answer = quoted.press("/money/quotes/1/approval", groups=["1"], revision="2")
    assert answer.status_code == 422
    assert "Choose how it was approved." in answer.text
    answer = quoted.press("/money/quotes/1/approval", groups=["1"], means="text", revision="2")
    assert "Enter the name of the person who approved." in answer.text
    assert quoted.count(Approval) == 0


def test_an_approval_by_phone_keeps_day_time_name_number_and_who_took_the_call(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    given = {"whose": "customer", "number_called": "555-0188"}
    quoted.press_on("/money/quotes/1/approval", **BY_PHONE, **given)
    row = approved(quoted)
    assert (row.said_by, row.number_called, row.taken_by_id) == ("Ines Okafor", "555-0188", 2)
    assert "555-0188, call taken by Desk" in quoted.text("/money/quotes/1")


def test_who_took_the_call_is_chosen_by_a_press(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press("/money/quotes/1/approval", **BY_PHONE | {"taken_by": ""}, whose="customer")
    assert answer.status_code == 422
    assert "Choose who took the call." in answer.text
    assert quoted.count(Approval) == 0


def test_the_number_of_the_book_stands_where_none_was_typed(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    quoted.press_on("/money/quotes/1/approval", **BY_PHONE, whose="customer")
    assert approved(quoted).number_called == "555-0142"


@pytest.mark.parametrize(
    ("day", "clock", "sentence"),
    [
        ("2026-11-05", "23:59", "not in the future"),
        ("2026-11-06", "8:00", "not in the future"),
        ("2026-11-04", "8:00", "was issued"),
        ("2026-11-04", "", "Enter the time too"),
        ("2026-11-05", "9", "Enter a time, for example"),
    ],
)
def test_a_moment_that_cannot_be_is_said_beside_its_field(
    quoted: ShopClient, day: str, clock: str, sentence: str
) -> None:
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press("/money/quotes/1/approval", **BY_PHONE, whose="customer", day=day, clock=clock)
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)
    assert quoted.count(Approval) == 0


def test_the_total_follows_the_ticks_and_another_one_than_shown_is_asked_again(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    whole = quoted.text("/money/quotes/1/approval")
    one = quoted.text("/money/quotes/1/approval?ticked=yes&groups=1")
    none = quoted.text("/money/quotes/1/approval?ticked=yes")
    totals = [re.findall(r'what is ticked</b><b class="num">([^<]+)<', page) for page in (whole, one, none)]
    assert totals[0] != totals[1]
    assert totals[2] == []
    assert "Tick what may be done to see the total." in none
    shown = re.search(r'name="shown" value="([^"]*)"', whole)
    assert shown
    sent = {"groups": ["1"], "means": "signed", "signature": "M60 72L68 38", "whose": "customer", "revision": "2"}
    answer = quoted.press("/money/quotes/1/approval", **sent, shown=shown[1])
    assert answer.status_code == 422
    assert "The total has changed with what is ticked." in answer.text
    assert "M60 72L68 38" not in answer.text, "a signature stands for the total under which it was drawn"
    again = quoted.press("/money/quotes/1/approval", **sent, again="yes")
    assert again.status_code == 200
    assert totals[1][0] in again.text
    assert quoted.count(Approval) == 0


def test_extra_work_that_the_payer_declines_has_a_way_out(quoted: ShopClient) -> None:
    quoted.press_on("/money/jobs/1/payers", **{"payers-0-customer": "1", "payers-0-rule": "rest"})
    quoted.press_on("/money/quotes/1/give")
    quoted.press_on("/money/quotes/1/approval", groups=["1"], means="text", said_by="Ines", revision="2")
    quoted.press_on("/money/jobs/1/extra", title="Inner brace", price="97.50")
    quoted.press_on("/money/quotes/2/give")
    page = quoted.text("/money/quotes/2")
    assert "Payer said no" in page
    assert quoted.press("/money/quotes/2/payer-declines", why=" ").status_code == 422
    page = quoted.press_on("/money/quotes/2/payer-declines", why="claims desk: not from this accident")
    for words in ("Declined by the payer: claims desk", "Customer pays for it", "Drop it"):
        assert words in page
    assert "declined Nov 5" in quoted.text("/jobs/1")

"""One job in one state says the same on Today, in the list of jobs, on its page, in Money and in the diary."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import call_off
from shopbook.services.jobs.leaving import mark_handed_over
from shopbook.services.jobs.parts import add_part, order_part
from shopbook.services.money.approvals import ask_again
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.states import (
    MORNING,
    agreed,
    booked,
    drafted,
    finished,
    given,
    invoiced,
    make_in,
    own,
    paid,
    ready,
    said,
    sent,
    told,
)
from tests.web.rendering import find, parse
from tests.web.said import NO_ANSWER, QUOTED

STATES: dict[str, tuple[Callable[[Session], Job], str, str]] = {
    "booked in": (booked, "Draft the estimate", "booked in"),
    "drafted": (drafted, "Issue the estimate", "booked in"),
    "given": (given, "Send the estimate", "booked in"),
    "sent": (sent, "Get an answer", "quoted"),
    "said at the car": (said, "Get an answer", "quoted"),
    "agreed": (agreed, "", "approved"),
    "finished": (finished, "Mark ready", "in progress"),
    "ready": (ready, "Tell the customer", "ready"),
    "told": (told, "Write invoice", "ready"),
    "invoiced": (invoiced, "Take payment", "ready"),
    "paid": (paid, "Hand over", "ready"),
    "own car": (own("own_car"), "", "booked in"),
    "goodwill": (own("goodwill"), "", "booked in"),
    "comeback": (own("comeback"), "", "booked in"),
}


def next_words(page: str) -> list[str]:
    return [" ".join(each.text_content().split()) for each in find(parse(page), "*", data_next=True)]


@pytest.mark.parametrize("state", STATES)
def test_the_next_act_has_the_same_words_on_today_in_the_list_and_on_the_job(
    app: Flask, client: ShopClient, state: str
) -> None:
    maker, words, standing = STATES[state]
    number = make_in(app, maker)
    page = client.text(f"/jobs/{number}")
    (of_job,) = next_words(page)
    assert next_words(client.text("/jobs/")) == [of_job]
    assert next_words(client.text("/today")) == [of_job]
    assert of_job == (words or of_job)
    assert f">{standing}</span>" in page


@pytest.mark.parametrize("state", STATES)
def test_what_waits_for_an_answer_is_the_same_on_every_page(app: Flask, client: ShopClient, state: str) -> None:
    number = make_in(app, STATES[state][0])
    is_asked = state in {"sent", "said at the car"}
    link = f'href="/jobs/{number}"'
    assert (link in client.text("/jobs/?which=quoted")) is is_asked
    assert (NO_ANSWER in client.text("/today")) is is_asked
    assert (QUOTED in client.text(f"/jobs/{number}")) is is_asked


@pytest.mark.parametrize("purpose", ["own_car", "goodwill", "comeback"])
def test_a_job_that_nobody_pays_for_has_no_quote_no_deposit_and_no_debt(
    app: Flask, client: ShopClient, purpose: str
) -> None:
    def changed(session: Session) -> Job:
        job = told(session)
        job.purpose = purpose
        return job

    number = make_in(app, changed)
    page = client.text(f"/jobs/{number}")
    for words in (
        "Draft the estimate",
        "Draft new version",
        "Take deposit",
        "stimate, before tax",
        "Who pays",
        "Still to pay",
    ):
        assert words not in page
    assert next_words(page) == ["Hand over"]
    assert "<dt>Billed to</dt><dd>nobody</dd>" in page
    assert f">{number} " not in client.text("/money/").split('id="next"')[1].split("</section>")[0]
    assert client.press(f"/money/jobs/{number}/deposit", amount="50", means="card").status_code == 422
    assert "Nobody is billed for this job" in client.press_on(f"/money/jobs/{number}/quote")
    client.press_on(f"/money/jobs/{number}/hand-over")
    assert next_words(client.text("/jobs/?which=handed_over")) == []
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing left to do"]


def test_a_job_called_off_owes_nothing_and_what_is_held_is_to_be_refunded(app: Flask, client: ShopClient) -> None:
    def off(session: Session) -> Job:
        job = agreed(session)
        take_deposit(Act(session, THE_PROGRAM, MORNING), job.id, amount_minor=12_000, means="card", treatment="held")
        return call_off(Act(session, THE_PROGRAM, MORNING), job.id, "price")

    number = make_in(app, off)
    page, listed = client.text(f"/jobs/{number}"), client.text("/jobs/?which=all")
    assert next_words(page) == next_words(listed) == ["Refund money held"]
    assert "To be refunded</dt><dd>$120.00" in page
    assert "nothing, the job is canceled" in page
    assert "still to pay" not in listed
    money = client.text("/money/")
    assert "Nobody owes anything." in money
    assert "deposit held, receipt 1" in money
    client.press_on("/money/payments/1/refund", amount="120", means="card", reason="called off")
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing left to do"]


def test_a_paid_invoice_stands_nowhere_as_not_paid(app: Flask, client: ShopClient) -> None:
    def gone(session: Session) -> Job:
        job = paid(session)
        return hand_over(Act(session, THE_PROGRAM, MORNING), job.id)

    number = make_in(app, gone)
    assert next_words(client.text("/jobs/?which=handed_over")) == []
    assert "not paid" not in client.text("/jobs/?which=all").split("<tbody")[-1]
    assert "Nobody owes anything." in client.text("/money/")
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing left to do"]


def test_what_is_open_is_named_before_a_car_is_marked_ready(app: Flask, client: ShopClient) -> None:
    def with_a_part(session: Session) -> Job:
        job = finished(session)
        part = add_part(Act(session, THE_PROGRAM, MORNING), job.id, name="Wing liner")
        order_part(Act(session, THE_PROGRAM, MORNING), part.id, NOON.date())
        return job

    number = make_in(app, with_a_part)
    for url in (f"/jobs/{number}", "/today"):
        assert f'href="/jobs/{number}/ready"' in client.text(url)
    assert "Part not here: Wing liner." in client.text(f"/jobs/{number}/ready")
    assert next_words(client.press_on(f"/jobs/{number}/ready", all_the_same="yes")) == ["Tell the customer"]


@pytest.mark.parametrize("way", ["gone", "called off"])
def test_no_page_offers_work_on_a_car_that_has_gone(app: Flask, client: ShopClient, way: str) -> None:
    stage_ids: list[int] = []

    def left(session: Session) -> Job:
        job = agreed(session)
        stage_ids.append(list_stages(session, job.id)[0].id)
        if way == "gone":
            mark_handed_over(Act(session, THE_PROGRAM, MORNING), job)
            return job
        return call_off(Act(session, THE_PROGRAM, MORNING), job.id, "time")

    number = make_in(app, left)
    page = client.text(f"/jobs/{number}")
    for words in ("Draft it again", "Add a stage", "Strip and inspect", "Draft new version", "Add extra work"):
        assert words not in page + client.text(f"/jobs/{number}/plan")
    stage = client.text(f"/floor/stages/{stage_ids[0]}")
    assert not re.search(r">\s*(Start|Go on|Trouble)\s*<", stage)
    assert f"/jobs/{number}" not in client.text("/floor/")
    assert f"/diary/jobs/{number}/move" not in client.text("/diary/")
    assert client.get(f"/diary/jobs/{number}/move").status_code == 422
    for path in ("plan/new", "what-if", "repair-or-replace", "damage/new", "days", "ready"):
        assert client.get(f"/jobs/{number}/{path}").status_code == 422, path
    refused = client.press_on(f"/jobs/{number}/draft")
    assert ("Open a new job for more work" if way == "gone" else "Reopen it first") in refused


def test_a_quote_sent_again_counts_from_the_day_it_was_sent(app: Flask, client: ShopClient) -> None:
    def again(session: Session) -> Job:
        job = given(session)
        ask_again(Act(session, THE_PROGRAM, MORNING - timedelta(days=3)), 1, "customer", "shown")
        return job

    number = make_in(app, again)
    for url in (f"/jobs/{number}", "/jobs/", "/today"):
        assert "asked 3 days ago" in client.text(url)

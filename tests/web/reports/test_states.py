"""One job in one state says the same on Today, in the list of jobs, on its page, in Money and in the diary."""

import io
import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import make_engine, transaction
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.owed import still_to_pay
from shopbook.services.jobs.doing import begin_stages, end_stages
from shopbook.services.jobs.jobs import call_off, check_in, mark_handed_over, mark_ready, plan_days, tell_ready
from shopbook.services.jobs.parts import add_part, order_part
from shopbook.services.money.agreements import ask_again
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.quick import quick_job
from shopbook.services.money.quotes import give_quote
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_kerb, make_quote, make_yes
from tests.web.rendering import find, parse

BEFORE = NOON - timedelta(hours=3)
MORNING = BEFORE + timedelta(hours=1)


def here(session: Session, **given: object) -> Job:
    """A planned car that is here and promised for today."""
    job = make_planned_job(session, at=BEFORE, **given)  # type: ignore[arg-type]
    check_in(session, THE_PROGRAM, BEFORE, job.id, revision=job.revision)
    return plan_days(session, THE_PROGRAM, BEFORE, job.id, None, "", NOON.date(), "")


def booked(session: Session) -> Job:
    return here(session)


def drafted(session: Session) -> Job:
    job = here(session)
    make_quote(session, job, at=MORNING)
    return job


def given(session: Session) -> Job:
    job = here(session)
    quote = make_quote(session, job, at=MORNING)
    give_quote(session, THE_PROGRAM, MORNING, quote.id, revision=quote.revision)
    return job


def sent(session: Session) -> Job:
    job = given(session)
    make_given_quote(session, job, at=MORNING)
    return job


def said(session: Session) -> Job:
    job = here(session)
    make_kerb(session, job, right_front_door=48_000)
    return job


def agreed(session: Session) -> Job:
    job = here(session)
    make_yes(session, make_given_quote(session, job, at=MORNING), at=MORNING)
    return job


def finished(session: Session) -> Job:
    job = agreed(session)
    stages = [stage for stage in list_stages(session, job.id) if stage.code != "hand_over"]
    begin_stages(session, THE_PROGRAM, MORNING, stages)
    end_stages(session, THE_PROGRAM, MORNING, stages)
    return job


def ready(session: Session) -> Job:
    job = finished(session)
    return mark_ready(session, THE_PROGRAM, MORNING, job.id)


def told(session: Session) -> Job:
    return tell_ready(session, THE_PROGRAM, MORNING, ready(session).id)


def invoiced(session: Session) -> Job:
    job = told(session)
    issue_invoice(session, THE_PROGRAM, MORNING, job.id)
    return job


def paid(session: Session) -> Job:
    job = invoiced(session)
    owed = issued_sum(session, job)
    take_payment(session, THE_PROGRAM, MORNING, job_id=job.id, amount_minor=owed, means="card")
    return job


def issued_sum(session: Session, job: Job) -> int:
    return still_to_pay(session, [job.id], NOON.date())[job.id]


def own(purpose: str) -> Callable[[Session], Job]:
    def made(session: Session) -> Job:
        return here(session, purpose=purpose)

    return made


STATES: dict[str, tuple[Callable[[Session], Job], str, str]] = {
    "booked in": (booked, "Draft the quote", "booked in"),
    "drafted": (drafted, "Give the quote", "booked in"),
    "given": (given, "Send the quote", "booked in"),
    "sent": (sent, "Get the answer", "quoted"),
    "said at the car": (said, "Get the answer", "quoted"),
    "agreed": (agreed, "", "agreed"),
    "finished": (finished, "Mark ready", "in work"),
    "ready": (ready, "Tell the customer", "ready"),
    "told": (told, "Write invoice", "ready"),
    "invoiced": (invoiced, "Take payment", "ready"),
    "paid": (paid, "Hand over", "ready"),
    "own car": (own("own_car"), "", "booked in"),
    "goodwill": (own("goodwill"), "", "booked in"),
    "comeback": (own("comeback"), "", "booked in"),
}


def make(app: Flask, maker: Callable[[Session], Job]) -> int:
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        number = maker(session).number
    engine.dispose()
    return number


def next_words(page: str) -> list[str]:
    return [" ".join(each.text_content().split()) for each in find(parse(page), "span", data_next=True)]


@pytest.mark.parametrize("state", STATES)
def test_the_next_act_has_the_same_words_on_today_in_the_list_and_on_the_job(
    app: Flask, client: ShopClient, state: str
) -> None:
    maker, words, standing = STATES[state]
    number = make(app, maker)
    page = client.text(f"/jobs/{number}")
    (of_job,) = next_words(page)
    assert next_words(client.text("/jobs/")) == [of_job]
    assert next_words(client.text("/today")) == [of_job]
    assert of_job == (words or of_job)
    assert f">{standing}</span>" in page


@pytest.mark.parametrize("state", STATES)
def test_what_waits_for_an_answer_is_the_same_on_every_page(app: Flask, client: ShopClient, state: str) -> None:
    number = make(app, STATES[state][0])
    is_asked = state in {"sent", "said at the car"}
    link = f'href="/jobs/{number}"'
    assert (link in client.text("/jobs/?which=quoted")) is is_asked
    assert ("Quotes without an answer" in client.text("/today")) is is_asked
    assert ("Quoted, with tax" in client.text(f"/jobs/{number}")) is is_asked


@pytest.mark.parametrize("purpose", ["own_car", "goodwill", "comeback"])
def test_a_job_that_nobody_pays_for_has_no_quote_no_deposit_and_no_debt(
    app: Flask, client: ShopClient, purpose: str
) -> None:
    def changed(session: Session) -> Job:
        job = told(session)
        job.purpose = purpose
        return job

    number = make(app, changed)
    page = client.text(f"/jobs/{number}")
    for words in ("Draft the quote", "Draft a new version", "Take a deposit", "Quoted", "Who pays", "Still to pay"):
        assert words not in page
    assert next_words(page) == ["Hand over"]
    assert "nobody pays for this job" in page
    assert f">{number} " not in client.text("/money/").split('id="next"')[1].split("</section>")[0]
    assert client.press(f"/money/jobs/{number}/deposit", amount="50", means="card").status_code == 422
    assert "Nobody pays for this job" in client.press_on(f"/money/jobs/{number}/quote")
    client.press_on(f"/money/jobs/{number}/hand-over")
    assert next_words(client.text("/jobs/?which=handed_over")) == []
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing more"]


def test_a_job_called_off_owes_nothing_and_what_is_held_is_to_be_refunded(app: Flask, client: ShopClient) -> None:
    def off(session: Session) -> Job:
        job = agreed(session)
        take_deposit(session, THE_PROGRAM, MORNING, job.id, amount_minor=12_000, means="card", treatment="held")
        return call_off(session, THE_PROGRAM, MORNING, job.id, "price")

    number = make(app, off)
    page, listed = client.text(f"/jobs/{number}"), client.text("/jobs/?which=all")
    assert next_words(page) == next_words(listed) == ["Refund what is held"]
    assert "Held, to be refunded</dt><dd>$120.00" in page
    assert "nothing: called off" in page
    assert find(parse(listed), "td", data_label="still to pay")[0].text_content() == ""
    money = client.text("/money/")
    assert "Nobody owes anything." in money
    assert "deposit held, receipt 1" in money
    client.press_on("/money/payments/1/refund", amount="120", means="card", reason="called off")
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing more"]


def test_a_paid_invoice_stands_nowhere_as_not_paid(app: Flask, client: ShopClient) -> None:
    def gone(session: Session) -> Job:
        job = paid(session)
        return hand_over(session, THE_PROGRAM, MORNING, job.id)

    number = make(app, gone)
    assert next_words(client.text("/jobs/?which=handed_over")) == []
    assert "not paid" not in client.text("/jobs/?which=all").split("<tbody")[-1]
    assert "Nobody owes anything." in client.text("/money/")
    assert next_words(client.text(f"/jobs/{number}")) == ["Nothing more"]


def test_what_is_open_is_named_before_a_car_is_marked_ready(app: Flask, client: ShopClient) -> None:
    def with_a_part(session: Session) -> Job:
        job = finished(session)
        part = add_part(session, THE_PROGRAM, MORNING, job.id, name="Wing liner")
        order_part(session, THE_PROGRAM, MORNING, part.id, NOON.date())
        return job

    number = make(app, with_a_part)
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
            mark_handed_over(session, THE_PROGRAM, MORNING, job)
            return job
        return call_off(session, THE_PROGRAM, MORNING, job.id, "time")

    number = make(app, left)
    page = client.text(f"/jobs/{number}")
    for words in ("Draft it again", "Add a stage", "Strip and look", "Draft a new version", "Something more"):
        assert words not in page + client.text(f"/jobs/{number}/plan")
    stage = client.text(f"/floor/stages/{stage_ids[0]}")
    assert not re.search(r">\s*(Start|Go on|Trouble)\s*<", stage)
    assert f"/jobs/{number}" not in client.text("/floor/")
    assert "Days</a>" not in client.text("/diary/")
    for path in ("plan/new", "what-if", "repair-or-replace", "damage/new", "days", "ready"):
        assert client.get(f"/jobs/{number}/{path}").status_code == 422, path
    refused = client.press_on(f"/jobs/{number}/draft")
    assert ("what comes now is a new job" if way == "gone" else "take it up again first") in refused
        f"/jobs/{number}/draft"
    )


def pdf_text(client: ShopClient, url: str) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(client.get(url).data)).pages)


def test_an_invoice_issued_with_its_payment_says_so_on_screen_and_on_the_kept_file_for_good(
    app: Flask, client: ShopClient
) -> None:
    make(app, lambda session: make_agreed_job(session, NOON, agreed_at=BEFORE, ready_at=MORNING))
    typed = {"supply_on": "2026-11-05", "last_number": "", "tax_number": "", "means": "card", "amount": "700"}
    page = client.press_on("/money/jobs/1/invoice", **typed, reference="slip 4711")
    kept, receipt = client.get("/money/invoices/1/pdf").data, client.get("/money/payments/1/pdf").data
    said_on_paper = "Paid $700.00 by card, November 5, 2026, receipt 1, slip 4711."
    rest = "Still to pay: $126.16, by November 5, 2026."
    for text in (page, pdf_text(client, "/money/invoices/1/pdf")):
        plain = " ".join(text.split())
        assert said_on_paper in plain
        assert rest in plain
    client.press_on("/money/jobs/1/pay", payer="1", amount="126.16", means="cash", invoice_id="")
    assert rest in " ".join(client.text("/money/invoices/1").split()), "the screen shows the paper as it was kept"
    assert (client.get("/money/invoices/1/pdf").data, client.get("/money/payments/1/pdf").data) == (kept, receipt)


def test_a_quick_job_says_on_its_paper_that_and_how_it_was_paid(app: Flask, client: ShopClient) -> None:
    def quick(session: Session) -> Job:
        made = quick_job(session, THE_PROGRAM, NOON, who="Arjun", what="polish", price_minor=6000, means="cash")
        return session.get_one(Job, made.job_id)

    make(app, quick)
    for text in (client.text("/money/invoices/1"), pdf_text(client, "/money/invoices/1/pdf")):
        assert "Paid $60.00 in cash, November 5, 2026, receipt 1." in " ".join(text.split())
        assert "Still to pay:" not in text


def test_a_quote_sent_again_counts_from_the_day_it_was_sent(app: Flask, client: ShopClient) -> None:
    def again(session: Session) -> Job:
        job = given(session)
        ask_again(session, THE_PROGRAM, MORNING - timedelta(days=3), 1, "owner", "shown")
        return job

    number = make(app, again)
    for url in (f"/jobs/{number}", "/jobs/", "/today"):
        assert "asked 3 days ago" in client.text(url)

"""The pages that put an issued invoice right, pressed as the desk presses them."""

import re
from datetime import date

import pytest
from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceApproval, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.quick import quick_job
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import add_quote, make_job
from tests.makers.insured import insured_invoice

DOOR = ("left_front_door", "Left front door", [("labour", "Work", 20900), ("materials", "Paint and materials", 6140)])
PAGE = "/money/invoices/1/correct"


@pytest.fixture
def paid(app: Flask) -> int:
    """Job number of invoice 1 over 275.31, paid by card."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        act = Act(session, THE_PROGRAM, NOON)
        job = make_job(session, NOON, agreed_at=NOON, ready_at=NOON)
        add_quote(session, job, job.opened_at, [DOOR])
        issue_invoice(act, job.id)
        take_payment(act, job_id=job.id, amount_minor=27531, means="card")
        number = job.number
    engine.dispose()
    return number


@pytest.fixture
def short(app: Flask) -> None:
    """Invoice 1: the customer has paid its 500.00, the insurer is short by 12.40."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        act = Act(session, THE_PROGRAM, NOON)
        invoice, insurer = insured_invoice(act)
        take_payment(act, job_id=invoice.job_id, amount_minor=50000, means="card")
        take_payment(act, job_id=invoice.job_id, amount_minor=130255, means="transfer", customer_id=insurer.id)
    engine.dispose()


def typed(client: ShopClient, **more: str) -> dict[str, str]:
    """What the page holds, with what was typed into it."""
    page = client.text(PAGE)
    found = dict(re.findall(r'<input[^>]*?name="([\w-]+)"[^>]*?value="([^"]*)"', page))
    found |= {name: value for value, name in re.findall(r'<input[^>]*?value="([^"]*)"[^>]*?name="([\w-]+)"', page)}
    kept = {name: value for name, value in found.items() if name not in {"csrf_token", "act_key", "seen", "over"}}
    return kept | {"to": "Ines Okafor", "to_lines": "", "reason": "The door was priced wrong", "over": "as_paid"} | more


def look(client: ShopClient, **more: str) -> tuple[dict[str, str], str]:
    """The papers are looked at; what the next press sends, and the page."""
    sent = typed(client, **more)
    answer = client.press(PAGE, step="look", **sent)
    assert answer.status_code == 200, answer.text
    seen = re.search(r'name="seen"[^>]*value="([^"]+)"', answer.text)
    assert seen is not None, answer.text
    return sent | {"seen": seen.group(1)}, answer.text


def rows(client: ShopClient, table: type) -> list[object]:
    with client.app.app_context():
        return list(db.session.scalars(select(table).order_by(table.id)))  # type: ignore[attr-defined]


def test_both_papers_are_seen_issued_and_kept_to_the_byte(client: ShopClient, paid: int) -> None:
    assert "Correct invoice" in client.text("/money/invoices/1")
    sent, page = look(client, **{"prices-0-amount": "189"})
    for words in ("Credit note 1", "Invoice 2", "255.31", "20.00", "Replaces", "The door was priced wrong"):
        assert words in page
    assert len(rows(client, Invoice)) == 1, "looking writes nothing"
    seen = [client.press(f"{PAGE}/{paper}", **sent).data for paper in ("credit-note", "invoice")]
    assert seen[0][:5] == b"%PDF-"
    page = client.press_on(PAGE, step="issue", **sent)
    assert "Issued credit note 1 and invoice 2." in page
    assert "It corrects" in page
    kept = [client.get(f"/money/invoices/{paper}/pdf").data for paper in (2, 3)]
    assert kept == seen
    back = rows(client, Payment)[-1]
    assert (back.amount_minor, back.means, back.kind) == (-2000, "card", "refund")  # type: ignore[attr-defined]
    assert "Corrected by" in client.text("/money/invoices/1")
    assert "Correct invoice" not in client.text("/money/invoices/1")


def test_a_press_after_a_number_moved_is_refused_with_what_was_typed_still_there(
    client: ShopClient, app: Flask, paid: int
) -> None:
    sent, _ = look(client, **{"prices-0-amount": "189"})
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        quick_job(Act(session, THE_PROGRAM, NOON), who="Ruth", what="Cap", price_minor=500, means="cash")
    engine.dispose()
    answer = client.press(PAGE, step="issue", **sent)
    assert answer.status_code == 409
    assert "these would be credit note 1 and invoice 3 now" in answer.text
    assert 'value="189"' in answer.text
    again = re.search(r'name="seen"[^>]*value="([^"]+)"', answer.text)
    assert again is not None
    assert client.press(PAGE, step="issue", **(sent | {"seen": again.group(1)})).status_code == 303


def test_a_changed_mind_after_looking_and_a_double_press_issue_nothing_unseen(client: ShopClient, paid: int) -> None:
    sent, _ = look(client, **{"prices-0-amount": "189"})
    answer = client.press(PAGE, step="issue", **(sent | {"prices-0-amount": "179"}))
    assert answer.status_code == 409
    assert "not the papers you looked at" in answer.text
    where = {client.press(PAGE, key="one", step="issue", **sent).headers["Location"] for _ in range(2)}
    assert where == {"/money/invoices/3"}
    assert len(rows(client, Invoice)) == 3
    assert "already credited in full" in client.press_on(PAGE, step="issue", **sent)


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("prices-0-amount", "lots", "Enter an amount, for example"),
        ("prices-0-amount", "-5", "Enter an amount"),
        ("prices-0-amount", "1.234", "1.23 or"),
        ("reason", "", "Enter a reason"),
        ("reason", "x" * 201, "At most 200"),
        ("to", " ", "Enter the name"),
    ],
)
def test_bad_input_has_its_sentence_and_nothing_is_issued(
    client: ShopClient, paid: int, field: str, text: str, sentence: str
) -> None:
    for step in ("look", "issue"):
        answer = client.press(PAGE, step=step, **(typed(client, **{field: text}) | {"seen": "1.2.x"}))
        assert (answer.status_code, sentence in answer.text) == (422, True), answer.text
    assert client.press(f"{PAGE}/invoice", **typed(client, **{field: text})).status_code == 422
    assert len(rows(client, Invoice)) == 1


def test_a_higher_price_asks_who_approved_it_in_the_same_form(client: ShopClient, paid: int) -> None:
    sent, page = look(client, **{"prices-0-amount": "409", "approvals-0-customer": "1"})
    assert "has not approved $200.00 of it" in page
    assert not re.search(r'name="approvals-0-means"[^>]*checked|checked[^>]*name="approvals-0-means"', page)
    answer = client.press(PAGE, step="issue", **sent)
    assert answer.status_code == 422
    assert "Say who approved $200.00 more" in answer.text
    said = {"approvals-0-said_by": "Ines Okafor", "approvals-0-means": "phone"}
    page = client.press_on(PAGE, step="issue", **sent, **said)
    assert "Approved by Ines Okafor" in page
    with client.app.app_context():
        assert db.session.scalars(select(Job.settled_at)).all() == [None]


def test_the_words_alone_are_put_right_and_the_papers_say_them(client: ShopClient, paid: int) -> None:
    words = {"to": "Okafor Cleaning", "to_lines": "4 Quay Street\r\nMillbrook", "order": "PO 77"}
    sent, page = look(client, **words, **{"items-0-title": "Right front door", "items-0-below": "dent out"})
    for each in ("Okafor Cleaning", "Millbrook", "PO 77", "Right front door", "dent out"):
        assert each in page
    client.press_on(PAGE, step="issue", **sent)
    assert [paper.gross_minor for paper in rows(client, Invoice)] == [27531, -27531, 27531]  # type: ignore[attr-defined]


def test_a_credit_note_cannot_be_corrected(client: ShopClient, paid: int) -> None:
    client.press_on("/money/invoices/1/credit", what="rest", reason="slip")
    for paper, sentence in ((1, "already credited in full"), (2, "Only an invoice can be corrected")):
        answer = client.http.get(f"/money/invoices/{paper}/correct", follow_redirects=True)
        assert (answer.request.path, sentence in answer.text) == (f"/money/invoices/{paper}", True)


def test_what_an_insurer_is_short_by_offers_three_ways(client: ShopClient, short: None) -> None:
    page = client.text("/money/invoices/1")
    for words in ("Ask again", "Charge the customer", "Write off debt"):
        assert words in page
    charge = "/money/invoices/1/charge/2"
    assert "has not approved $12.40 of it" in client.text(charge)
    sent = {"to": "1", "amount": "12.40", "reason": "The insurer pays no more"}
    answer = client.press(charge, **sent)
    assert answer.status_code == 422
    assert "Say who approved $12.40 more" in answer.text
    said = {"approvals-said_by": "Ines", "approvals-means": "phone"}
    for more, sentence in (
        ({"amount": "12.41"}, "Only $12.40"),
        ({"to": "77"}, "Choose who pays"),
        ({"to": "2"}, "Choose who"),
    ):
        assert sentence in client.press(charge, **(sent | said | more)).text
    page = client.press_on(charge, **sent, **said)
    assert "Charged to another payer." in page
    assert rows(client, InvoiceApproval)[0].amount_minor == 1240  # type: ignore[attr-defined]


def test_debt_is_written_off_in_part_by_the_desk_within_its_limit(client: ShopClient, app: Flask, short: None) -> None:
    page = "/money/invoices/1/write-off/2"
    desk = ShopClient(app).signed_in_as("Desk")
    assert 'value="5.00"' in desk.text(page)
    answer = desk.press(page, amount="5.01", reason="short")
    assert "You can write off up to $5.00 of an invoice" in answer.text
    assert "Debt written off." in desk.press_on(page, amount="5", reason="short")
    assert 'value="7.40"' in client.text(page)
    for sent, sentence in (
        ({"amount": "8"}, "Only $7.40"),
        ({"reason": ""}, "Enter a reason"),
        ({"amount": ""}, "Enter an"),
    ):
        answer = client.press(page, **({"amount": "7.40", "reason": "short"} | sent))
        assert (answer.status_code, sentence in answer.text) == (422, True)
    page = client.press_on(page, amount="7.40", reason="short")
    assert "Money came after all" in page
    assert [row.amount_minor for row in rows(client, Payment)][-2:] == [500, 740]  # type: ignore[attr-defined]


def test_the_tax_in_a_debt_stands_beside_it(client: ShopClient, job_number: int) -> None:
    client.press_on(
        f"/money/jobs/{job_number}/invoice", supply_on=str(date(2026, 11, 4)), last_number="", tax_number=""
    )
    page = client.text("/money/invoices/1/write-off/1")
    assert re.search(r"[Tt]ax in it \$23\.16", page)
    assert "claimable" not in page

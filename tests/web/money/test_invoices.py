"""The pages of invoices and payments, pressed as the desk presses them."""

import io
from datetime import timedelta

import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Book, DatedTaxRate, Paper
from shopbook.queries.shop.book import get_book
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import BUMPER, DOOR, QUARTER, add_quote, make_job


def count(client: ShopClient, table: type) -> int:
    with client.app.app_context():
        return db.session.scalar(select(func.count()).select_from(table)) or 0


def pdf_text(client: ShopClient, url: str) -> str:
    answer = client.get(url)
    assert answer.mimetype == "application/pdf", answer.text[:500]
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.data)).pages)


def issue(client: ShopClient, number: int) -> str:
    return client.press_on(f"/money/jobs/{number}/invoice", supply_on="2026-11-04", last_number="2317", tax_number="")


def test_the_invoice_so_far_is_looked_at_issued_and_kept_as_a_file(client: ShopClient, job_number: int) -> None:
    page = client.text(f"/money/jobs/{job_number}/invoice")
    assert "826.16" in page
    assert "not issued" in page
    page = issue(client, job_number)
    assert "Invoice 2318" in page
    assert "Seen, not repaired at your request" in page
    assert count(client, Paper) == 1
    text = pdf_text(client, "/money/invoices/1/pdf")
    for words in ("Invoice 2318", "826.16", "23.16", "Ines Okafor", "Rear bumper corner", "Extra", "803.00"):
        assert words in text
    assert client.get("/money/invoices/1/pdf").data == client.get("/money/invoices/1/pdf").data
    assert count(client, Paper) == 1


def test_a_double_press_issues_one_invoice(client: ShopClient, job_number: int) -> None:
    answers = [client.press(f"/money/jobs/{job_number}/invoice", key="one", supply_on="2026-11-04") for _ in range(2)]
    assert {answer.headers["Location"] for answer in answers} == {"/money/invoices/1"}
    again = client.press(f"/money/jobs/{job_number}/invoice", supply_on="2026-11-04")
    assert again.status_code == 409
    assert "bills everything approved" in again.text
    assert count(client, Invoice) == 1


def test_guessed_rates_are_confirmed_at_the_first_invoice(app: Flask, client: ShopClient, job_number: int) -> None:
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        get_book(session).address = ""
        session.add(
            DatedTaxRate(
                code="sales",
                name="Sales tax",
                rate_thousandths=8000,
                line_kinds=["materials", "part"],
                from_on=NOON.date() - timedelta(days=30),
                at=NOON,
            )
        )
    engine.dispose()
    assert "Before your first invoice" in client.text(f"/money/jobs/{job_number}/invoice")
    typed = {"supply_on": "2026-11-05", "tax_number": "11-2223334", "address": "1 Mill Yard"}
    answer = client.press(f"/money/jobs/{job_number}/invoice", **typed)
    assert answer.status_code == 422
    assert "tick the box, or change them" in answer.text
    assert "11-2223334" in answer.text
    assert "1 Mill Yard" in answer.text
    page = client.press_on(
        f"/money/jobs/{job_number}/invoice", supply_on="2026-11-05", tax_number="11-2223334", is_confirmed="y"
    )
    assert "11-2223334" in page


def test_payment_is_prefilled_taken_in_parts_and_receipted(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    assert 'value="826.16"' in client.text(f"/money/jobs/{job_number}/pay")
    client.press_on(
        f"/money/jobs/{job_number}/pay", payer="1", invoice_id="", amount="500", means="card", reference="slip 77"
    )
    assert 'value="326.16"' in client.text(f"/money/jobs/{job_number}/pay")
    text = pdf_text(client, "/money/payments/1/pdf")
    for words in ("Receipt 1", "500.00", "Invoice 2318", "slip 77"):
        assert words in text
    assert "326.16" in client.text("/money/")


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("amount", "lots", "Enter an amount, for example"),
        ("amount", "-5", "not below zero"),
        ("amount", "0", "above zero"),
        ("amount", "99999999999999", "too large"),
        ("amount", "", "Enter the amount"),
        ("on", "2026-12-24", "after today"),
        ("on", "2025-01-01", "before the job was opened"),
        ("on", "yesterdayish", "Enter a day, for example"),
    ],
)
def test_bad_input_is_answered_beside_its_field_and_nothing_is_taken(
    client: ShopClient, job_number: int, field: str, typed: str, sentence: str
) -> None:
    issue(client, job_number)
    sent = {"payer": "1", "invoice_id": "", "amount": "10", "means": "card", "on": "", field: typed}
    answer = client.press(f"/money/jobs/{job_number}/pay", **sent)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert typed in answer.text
    assert count(client, Payment) == 0


def test_a_deposit_pays_its_part_and_is_given_back_only_when_free(client: ShopClient, job_number: int) -> None:
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="100", means="cash", treatment="")
    assert "726.16" in client.text(f"/jobs/{job_number}")
    issue(client, job_number)
    answer = client.press("/money/payments/1/refund", amount="1", means="cash", reason="wish")
    assert answer.status_code == 422
    assert "more than this payment’s unused credit" in answer.text


def test_a_credit_note_is_issued_and_read_back(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    assert client.press("/money/invoices/1/credit", what="rest", reason="").status_code == 422
    page = client.press_on("/money/invoices/1/credit", what="lines", places="0", reason="lamp not refitted")
    assert "Credit note 1" in page
    text = pdf_text(client, "/money/invoices/2/pdf")
    for words in ("Credit note 1", "invoice 2318", "lamp not refitted", "409.50"):
        assert words in text


def kept_kinds(client: ShopClient) -> list[str]:
    with client.app.app_context():
        return list(db.session.scalars(select(Paper.kind).order_by(Paper.id)))


def move_shop(app: Flask) -> None:
    """The shop has another name, address and tax number from now on."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        book = session.scalars(select(Book)).one()
        book.shop_name, book.address, book.tax_number = "Moved Bodywork", "99 New Street", "55-5555555"
    engine.dispose()


def test_deposit_invoice_and_credit_note_have_their_file_at_once_and_it_outlives_a_move_of_the_shop(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="100", means="card", treatment="taxed")
    assert sorted(kept_kinds(client)) == ["deposit", "receipt"]
    issue(client, job_number)
    client.press_on("/money/invoices/2/credit", what="amount", amount="20", reason="goodwill")
    assert sorted(kept_kinds(client)) == ["credit", "deposit", "invoice", "receipt"]
    move_shop(app)
    for invoice_id, kind in ((1, "Deposit invoice"), (2, "Invoice"), (3, "Credit note")):
        text = pdf_text(client, f"/money/invoices/{invoice_id}/pdf")
        assert kind in text
        assert "Moved Bodywork" not in text
        assert "55-5555555" not in text
    assert len(kept_kinds(client)) == 4
    client.press_on("/money/invoices/2/credit", what="amount", amount="5", reason="goodwill")
    assert len(kept_kinds(client)) == 5


def test_a_deposit_that_was_too_much_leaves_the_file_of_its_credit_note_too(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="800", means="card", treatment="taxed")
    issue(client, job_number)
    assert sorted(kept_kinds(client)) == ["credit", "deposit", "invoice", "receipt"]


def test_money_given_back_has_its_receipt_at_once(client: ShopClient, job_number: int) -> None:
    client.press_on(f"/money/jobs/{job_number}/deposit", amount="100", means="cash", treatment="held")
    client.press_on("/money/payments/1/refund", amount="30", means="cash", reason="wish")
    assert kept_kinds(client) == ["receipt", "receipt"]


def test_money_is_moved_and_debt_written_off(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", invoice_id="", amount="800", means="card")
    move = {"source": "1", "target": "", "amount": "100"}
    assert "Enter a reason." in client.press("/money/payments/1/move", **move).text
    assert "Payment moved." in client.press_on("/money/payments/1/move", **move, reason="meant for the van")
    written_off = client.press_on("/money/invoices/1/write-off/1", amount="126.16", reason="moved abroad")
    assert "Debt written off" in written_off
    assert "100.00" in client.text("/money/payments/1")


def test_an_extra_after_the_invoice_is_looked_at_and_issued_on_a_further_one(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    issue(client, job_number)
    page = client.text(f"/money/jobs/{job_number}/invoice")
    assert "Issue invoice" not in page, "nothing is left to invoice"
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        job = session.scalars(select(Job).where(Job.number == job_number)).one()
        add_quote(session, job, NOON + timedelta(minutes=1), [BUMPER], kind="extra")
    engine.dispose()
    assert "210.00 was approved after the invoice" in client.text(f"/jobs/{job_number}")
    assert "Write invoice" in client.text("/money/")
    page = client.text(f"/money/jobs/{job_number}/invoice")
    assert "a follow-up invoice, only for what it does not include" in page
    page = client.press_on(f"/money/jobs/{job_number}/invoice", supply_on="2026-11-05")
    assert "Invoice 2319" in page
    assert "invoice 2318 of" in page
    assert "Extra work · 3 · Rear bumper corner" in page
    assert "Right quarter panel" not in page
    assert "not repaired at your request" not in page, "the bumper was left at first and taken later"
    assert len(kept_kinds(client)) == 2
    text = pdf_text(client, "/money/invoices/2/pdf")
    for words in ("Follows", "invoice 2318", "210.00"):
        assert words in text


def test_a_quick_job_ends_at_its_numbered_paper(client: ShopClient) -> None:
    page = client.press_on("/money/quick", who="Arjun", what="polish a door", price="60", kind="labour", means="cash")
    assert "Invoice 1" in page
    assert "Arjun" in page
    assert count(client, Paper) == 2, "the invoice and the receipt are kept as things stood"
    client.press_on("/money/quick", who="Bo", what="polish a wing", price="60", kind="labour", means="later")
    assert count(client, Paper) == 3, "what is paid later has an invoice and no receipt yet"
    assert client.press("/money/quick", who="", what="x", price="60", kind="labour", means="cash").status_code == 422
    assert count(client, Payment) == 1


def test_the_floor_sees_no_money(client: ShopClient, job_number: int) -> None:
    dana = client.signed_in_as("Dana")
    assert dana.get("/money/").status_code == 403
    assert "<h2>Money</h2>" not in dana.text(f"/jobs/{job_number}")


def test_margins_are_for_the_owner_only(client: ShopClient, job_number: int) -> None:
    assert "Margin if the rest goes as planned" in client.text(f"/jobs/{job_number}")
    desk = client.signed_in_as("Desk").text(f"/jobs/{job_number}")
    assert "<h2>Money</h2>" in desk
    assert "Margin" not in desk


def test_lists_and_pages_open(client: ShopClient, job_number: int) -> None:
    assert "Ready, no invoice" in client.text("/money/")
    issue(client, job_number)
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", invoice_id="", amount="900", means="card")
    for url in ("/money/invoices", "/money/payments", "/money/payments/1", "/money/payments/1/refund", "/money/"):
        assert client.text(url)
    assert client.get("/money/invoices/99").status_code == 404
    assert client.get("/money/payments/99").status_code == 404


def test_a_discount_on_all_of_it_stands_in_neither_column_and_every_column_adds_up(
    app: Flask, client: ShopClient
) -> None:
    """Labour 409.50 and 78.00, the rest 213.50 and 62.00 by hand; the discount of 50.00 is on both."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        job = make_job(session, NOON, agreed_at=NOON - timedelta(days=2), ready_at=NOON - timedelta(days=1))
        add_quote(session, job, job.opened_at, [QUARTER, DOOR], discount_minor=5000)
        number = job.number
    engine.dispose()
    issue(client, number)
    text = " ".join(pdf_text(client, "/money/invoices/1/pdf").split())
    for words in ("Discount −50.00", "Total 487.50 275.50 713.00"):
        assert words in text

"""An issued paper as a message: what is still to pay, until when and how; what a credit note gives back."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Book
from tests.clients import ShopClient


def issue(client: ShopClient, number: int) -> None:
    client.press_on(f"/money/jobs/{number}/invoice", supply_on="2026-11-04", last_number="2317", tax_number="")


def test_an_invoice_is_shared_with_what_is_still_to_pay_and_how(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    engine = make_engine(client.app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as opened, transaction(opened):
        opened.get_one(Book, 1).pay_to = "To account 12 34\nat the bank"
        opened.scalars(select(Customer)).one().phone = "555-0147"
    engine.dispose()
    page = " ".join(client.text("/money/invoices/1/share").split())
    assert "invoice 2318" in page
    assert "$826.16, tax included. Still to pay: $826.16 by" in page
    assert "To account 12 34 at the bank" in page
    assert 'href="sms:5550147?body=' in page
    assert "/money/invoices/1/share" in client.text("/money/invoices/1")
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="800", means="card", invoice_id="")
    assert "Paid so far: $800.00. Still to pay: $26.16 by" in client.text("/money/invoices/1/share")
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="26.16", means="card", invoice_id="")
    assert "Paid in full. Thank you." in client.text("/money/invoices/1/share")


def test_a_credit_note_is_shared_with_what_comes_back(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    client.press_on("/money/invoices/1/credit", what="rest", reason="wrong car")
    assert "$826.16 credited, tax included." in client.text("/money/invoices/2/share")

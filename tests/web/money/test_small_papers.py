"""What a paper lacks by the rule of the country is asked for in the same form; a small paper needs no customer."""

from datetime import date
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.session import transaction
from shopbook.models.shop import Book
from shopbook.services.act import Act
from shopbook.services.money.complete_papers import refuse_incomplete
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.web.money.test_corrections import PAGE as CORRECT
from tests.web.money.test_corrections import look

ISSUE = {"supply_on": "2026-11-04", "means": "later", "is_confirmed": "y", "last_number": ""}
QUICK = {"what": "Door edge touched in", "kind": "labour", "means": "card", "is_confirmed": "y"}


def settle_in(app: Flask, code: str, currency: str, **customer: str) -> None:
    """The book is one of that country, with its number and address; the customer is known by these words."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Book).values(country=code, currency=currency, tax_number="999 0000 00", address="1 Quay"))
        if customer:
            opened.execute(update(Customer).values(**customer))


def one(app: Flask, table: Any) -> Any:
    with app.app_context():
        found = db.session.scalars(select(table).order_by(table.id.desc())).first()
        db.session.remove()
    return found


def test_an_invoice_over_250_pounds_asks_for_the_customers_address_in_the_same_form(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    settle_in(app, "gb", "GBP", name="Ines Okafor", address="")
    answer = client.press(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert answer.status_code == 422
    asked = "Enter the customer’s address. An invoice over £250.00 must have it."
    assert any(asked in said for said in sentences(answer.text))
    assert 'name="customer_address"' in answer.text
    assert one(app, Invoice) is None
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE, customer_address="7 Harbour Row")
    assert "7 Harbour Row" in page
    assert one(app, Customer).address == "7 Harbour Row"


def test_a_deposit_counts_as_a_paper_for_the_whole_job(app: Flask, client: ShopClient, job_number: int) -> None:
    """50.00 on account of 826.16 is not small, so that it asks for name and address."""
    settle_in(app, "gb", "GBP", name="", phone="555 0164", address="")
    sent = {"amount": "50", "means": "card", "treatment": "taxed", "is_confirmed": "y", "on": "2026-11-04"}
    answer = client.press(f"/money/jobs/{job_number}/deposit", **sent)
    assert answer.status_code == 422
    asked = "Enter the customer’s name and address. An invoice over £250.00 must have both."
    assert any(asked in said for said in sentences(answer.text))
    typed = {"customer_name": "Ines Okafor", "customer_address": "7 Harbour Row"}
    client.press_on(f"/money/jobs/{job_number}/deposit", **sent, **typed)
    paper = one(app, Invoice)
    assert (paper.kind, paper.frozen["to"]) == ("deposit", "Ines Okafor")
    assert "7 Harbour Row" in paper.frozen["to_lines"]


@pytest.mark.parametrize(
    ("code", "currency", "small", "large", "sentence"),
    [
        (
            "gb",
            "GBP",
            "250",
            "250.01",
            "Enter the customer’s name and address. An invoice over £250.00 must have both.",
        ),
        (
            "ie",
            "EUR",
            "100",
            "100.01",
            "Enter the customer’s name and address. An invoice over €100.00 must have both.",
        ),
        (
            "de",
            "EUR",
            "250",
            "250,01",
            "Enter the customer’s name and address. An invoice over 250,00\u00a0€ must have both.",
        ),
        ("ca", "CAD", "499.95", "500", "Enter the customer’s name. An invoice of $500.00 or more must have it."),
        ("au", "AUD", "999.95", "1000", "Enter the customer’s name. An invoice of $1,000.00 or more must have it."),
    ],
)
def test_a_small_quick_job_needs_nobody_and_a_larger_one_asks_beside_the_box(
    app: Flask, client: ShopClient, code: str, currency: str, small: str, large: str, sentence: str
) -> None:
    settle_in(app, code, currency)
    page = client.press_on("/money/quick", **QUICK, who="", price=small)
    assert "Invoice 1" in page
    job = one(app, Job)
    assert (job.customer_id, job.vehicle_id) == (None, None)
    for place in (f"/jobs/{job.number}", "/money/", "/jobs/", "/money/invoices/1/share", "/money/payments/1"):
        assert client.get(place).status_code == 200, place
    answer = client.press("/money/quick", **QUICK, who="", price=large)
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)
    typed = {"who": "Ines Okafor", "customer_address": "7 Harbour Row"}
    assert "Invoice 2" in client.press_on("/money/quick", **QUICK, **typed, price=large)


def test_what_is_paid_later_is_always_somebodys(app: Flask, client: ShopClient) -> None:
    settle_in(app, "gb", "GBP")
    assert client.press("/money/quick", **{**QUICK, "means": "later"}, who="", price="60").status_code == 422


def test_a_registered_shop_without_its_number_is_asked_for_it_in_the_same_form(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    settle_in(app, "gb", "GBP", name="Ines Okafor", address="7 Harbour Row")
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Book).values(tax_number=""))
    answer = client.press(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert answer.status_code == 422
    asked = "Enter your VAT number. An invoice with VAT must have it."
    assert any(asked in said for said in sentences(answer.text))
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE, tax_number="GB 999 0000 00")
    assert "GB 999 0000 00" in page


SAID = {"approvals-0-customer": "", "approvals-0-said_by": "Ines Okafor", "approvals-0-means": "in_person"}


def test_a_correction_counts_in_place_of_the_first_invoice(app: Flask, client: ShopClient) -> None:
    """200.00 needs nobody; corrected to 240.00 it counts 200.00 − 200.00 + 240.00 and needs nobody either."""
    settle_in(app, "gb", "GBP")
    client.press_on("/money/quick", **QUICK, who="", price="200")
    sent, _ = look(client, **SAID, **{"prices-0-amount": "240", "to": "Customer"})
    assert "Issued credit note 1 and invoice 2." in client.press_on(CORRECT, step="issue", **sent)
    assert one(app, Invoice).gross_minor == 240_00


def test_one_that_passes_the_limit_asks_beside_the_boxes_of_name_and_address(app: Flask, client: ShopClient) -> None:
    """Corrected from 200.00 to 260.00: nothing is issued before both are typed."""
    settle_in(app, "gb", "GBP")
    client.press_on("/money/quick", **QUICK, who="", price="200")
    sent, _ = look(client, **SAID, **{"prices-0-amount": "260", "to": "Customer"})
    answer = client.press(CORRECT, step="issue", **sent)
    assert answer.status_code == 422
    asked = "Enter the customer’s name and address. An invoice over £250.00 must have both."
    assert any(asked in said for said in sentences(answer.text)), sentences(answer.text)
    assert one(app, Invoice).number == 1
    typed = {"prices-0-amount": "260", "to": "Ines Okafor", "to_lines": "7 Harbour Row"}
    sent, _ = look(client, **SAID, **typed)
    page = client.press_on(CORRECT, step="issue", **sent)
    assert "7 Harbour Row" in page


def test_a_fee_for_a_returned_cheque_is_no_supply_of_work(app: Flask, client: ShopClient) -> None:
    """240.00 for work and 25.00 as a fee: 240.00 is counted, and the fee itself is asked for nothing."""
    settle_in(app, "gb", "GBP")
    client.press_on("/money/quick", **{**QUICK, "means": "cheque"}, who="Ines Okafor", price="240")
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        act = Act(opened, THE_PROGRAM, NOON)
        payment = opened.scalars(select(Payment)).one()
        set_settings(act, {SettingName.RETURNED_CHEQUE_FEE_MINOR: 25_00}, date(2026, 11, 1))
        reverse_payment(act, payment.id, kind="returned_cheque", reason="No funds", with_fee=True)
        fee = opened.scalars(select(Invoice).where(Invoice.kind == "fee")).one()
        work = opened.scalars(select(Invoice).where(Invoice.kind == "invoice")).one()
        assert fee.gross_minor == 25_00
        for paper in (fee, work):
            refuse_incomplete(opened, paper)

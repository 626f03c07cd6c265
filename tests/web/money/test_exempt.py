"""A customer's certificate, from its form to the invoice that names it and to the month that shows its sales apart."""

from datetime import date
from typing import Any

from flask import Flask
from sqlalchemy import select

from shopbook.models.customers import Customer
from shopbook.models.money import Invoice, InvoiceTax
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.web.money.test_small_papers import ISSUE, one, settle_in

CERTIFICATE = {
    "exempt_kind": "resale",
    "exempt_number": "32-0001",
    "exempt_state": "Texas",
    "exempt_from": "2026-11-02",
    "exempt_until": "",
}
PERSON = {"name": "Ines Okafor", "phone": "555-0142", "kind": "dealer"}


def certify(app: Flask, client: ShopClient, **other: str) -> Any:
    customer = one(app, Customer)
    return client.press(
        f"/customers/{customer.id}/change", **PERSON, **{**CERTIFICATE, **other}, revision=str(customer.revision)
    )


def test_the_customers_page_shows_the_certificate_and_its_form_says_what_is_missing(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    answer = certify(app, client, exempt_number="")
    assert answer.status_code == 422
    assert any("Enter the number on the certificate." in said for said in sentences(answer.text))
    assert 'value="Texas"' in answer.text
    assert certify(app, client).status_code == 303
    page = client.text(f"/customers/{one(app, Customer).id}")
    assert "Resale certificate 32-0001, Texas" in page


def test_the_customers_page_says_of_one_that_has_run_out_that_it_has(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    certify(app, client, exempt_until="2026-11-03")
    page = client.text(f"/customers/{one(app, Customer).id}")
    assert "November 2, 2026 to November 3, 2026" in page
    assert "expired" in page


def test_an_invoice_names_the_certificate_and_its_line_of_tax_is_zero(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    certify(app, client)
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert "No sales tax charged: resale certificate 32-0001, Texas, November 2, 2026." in page
    paper = one(app, Invoice)
    assert (paper.tax_minor, paper.gross_minor) == (0, paper.net_minor)
    with app.app_context():
        rows = db.session.scalars(select(InvoiceTax)).all()
        assert [(row.code, row.name, row.rate_thousandths) for row in rows] == [
            ("exempt:resale", "Exempt, resale certificate", 0)
        ]
        tax = get_tax(ShopOn(db.session(), date(2026, 11, 5)), date(2026, 11, 1), date(2026, 11, 30))
        apart = [row for row in tax.untaxed if row.code == "exempt:resale"]
        assert sum(row.basis_minor for row in apart) == paper.net_minor
        db.session.remove()


def test_one_that_has_run_out_charges_tax_again(app: Flask, client: ShopClient, job_number: int) -> None:
    certify(app, client, exempt_until="2026-11-03")
    client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    paper = one(app, Invoice)
    assert paper.tax_minor > 0
    assert "exempt_note" not in paper.frozen


def test_a_credit_note_and_a_correction_say_it_too(app: Flask, client: ShopClient, job_number: int) -> None:
    certify(app, client)
    client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    first = one(app, Invoice)
    credit = client.press_on(f"/money/invoices/{first.id}/credit", what="rest", reason="Price was wrong")
    assert "No sales tax charged" in credit
    assert one(app, Invoice).gross_minor == -first.gross_minor


def test_where_no_certificate_is_known_the_form_does_not_ask(app: Flask, client: ShopClient, job_number: int) -> None:
    settle_in(app, "gb", "GBP")
    assert 'name="exempt_kind"' not in client.text(f"/customers/{one(app, Customer).id}/change")

"""A customer's certificate, from its form to the invoice that names it and to the month that shows its sales apart."""

import io
import re
from datetime import date
from typing import Any

from flask import Flask
from sqlalchemy import select

from shopbook.models.customers import Customer
from shopbook.models.money import Invoice, InvoiceTax, Quote
from shopbook.queries.reports.kept_contents import list_kept_contents
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.web.parts.act import db
from tests.clients import ShopClient, photo, sentences
from tests.web.money.test_small_papers import ISSUE, one, settle_in

CERTIFICATE = {
    "exempt_kind": "resale",
    "exempt_number": "32-0001",
    "exempt_state": "Texas",
    "exempt_from": "2026-11-02",
    "exempt_until": "",
}
PERSON = {"name": "Ines Okafor", "phone": "555-0142", "kind": "dealer"}


def certify(app: Flask, client: ShopClient, **other: Any) -> Any:
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


def test_the_photo_of_a_certificate_is_kept_shown_proved_and_taken_away(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    assert certify(app, client, photo=photo()).status_code == 303
    key = one(app, Customer).id
    kept = one(app, Customer).exemption
    assert f"/customers/{key}/certificate" in client.text(f"/customers/{key}")
    for address in ("certificate", "certificate?small=yes"):
        answer = client.get(f"/customers/{key}/{address}")
        assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    with app.app_context():
        named = {(each.table, each.sha256) for each in list_kept_contents(db.session())}
        db.session.remove()
    assert {("customer", kept["picture"]), ("customer", kept["thumbnail"])} <= named
    # Saved again without another photo it keeps the one that it has; the tick takes it away.
    certify(app, client, exempt_state="Ohio")
    assert one(app, Customer).exemption["picture"] == kept["picture"]
    certify(app, client, exempt_photo_goes="y")
    assert "picture" not in one(app, Customer).exemption
    assert client.get(f"/customers/{key}/certificate").status_code == 404


def test_a_photo_of_no_certificate_or_a_file_that_is_none_is_refused_beside_its_field(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    before = one(app, Customer).exemption
    answer = certify(app, client, exempt_kind="", photo=photo())
    assert (answer.status_code, "Choose the kind of certificate that the photo shows." in answer.text) == (422, True)
    assert 'name="kept"' in answer.text, "the photo is carried on"
    assert certify(app, client, photo=(io.BytesIO(b"no picture"), "note.jpg")).status_code == 422
    assert one(app, Customer).exemption == before


def test_the_floor_sees_no_certificate(app: Flask, client: ShopClient, job_number: int) -> None:
    certify(app, client, photo=photo())
    floor = ShopClient(app).signed_in_as("Dana")
    assert floor.get(f"/customers/{one(app, Customer).id}/certificate").status_code == 403


def test_a_quick_estimate_of_an_exempt_customer_is_without_tax_before_it_is_saved_and_after(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    panel = {"panel": ["bonnet"], "size.bonnet": "M", "paint.bonnet": "paint", "continues": "new"}
    taxed = client.press("/jobs/kerb", again="yes", **panel, who="555-0199").text
    assert "Exempt" not in taxed
    certify(app, client)
    told = client.press("/jobs/kerb", again="yes", **panel, who=PERSON["phone"]).text
    assert "With tax, exempt, resale certificate" in told
    net = re.findall(r"1 panel, before tax</span><b class=\"num\">(.*?)</b>", told)[0]
    gross = re.findall(r"resale certificate</span><b class=\"num\">(.*?)</b>", told)[0]
    assert net == gross
    client.press_on("/jobs/kerb", **panel, who=PERSON["phone"], is_said="y")
    with app.app_context():
        number = db.session.scalars(select(Quote.id).order_by(Quote.id.desc())).first()
        db.session.remove()
    assert f"Total with tax: {gross}<" in client.text(f"/money/quotes/{number}")


def test_a_certificate_that_has_run_out_changes_no_quick_estimate(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    certify(app, client, exempt_until="2026-11-03")
    panel = {"panel": ["bonnet"], "size.bonnet": "M", "paint.bonnet": "paint"}
    told = client.press("/jobs/kerb", again="yes", **panel, who=PERSON["phone"]).text
    assert "resale certificate" not in told

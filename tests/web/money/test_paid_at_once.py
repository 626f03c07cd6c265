"""A paper that is issued with its payment: on the screen, in the kept file, and the same for good."""

import io

from flask import Flask
from pypdf import PdfReader
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.services.act import Act
from shopbook.services.money.quick import quick_job
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job
from tests.makers.states import BEFORE, MORNING, make_in


def pdf_text(client: ShopClient, url: str) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(client.get(url).data)).pages)


def test_an_invoice_issued_with_its_payment_says_so_on_screen_and_on_the_kept_file_for_good(
    app: Flask, client: ShopClient
) -> None:
    make_in(app, lambda session: make_agreed_job(session, NOON, agreed_at=BEFORE, ready_at=MORNING))
    typed = {"supply_on": "2026-11-05", "last_number": "", "tax_number": "", "means": "card", "amount": "700"}
    page = client.press_on("/money/jobs/1/invoice", **typed, reference="slip 4711")
    kept, receipt = client.get("/money/invoices/1/pdf").data, client.get("/money/payments/1/pdf").data
    said_on_paper = "Paid $700.00 by card, November 5, 2026, receipt 1, slip 4711."
    rest = "Still to pay: $126.16, due November 5, 2026."
    for text in (page, pdf_text(client, "/money/invoices/1/pdf")):
        plain = " ".join(text.split())
        assert said_on_paper in plain
        assert rest in plain
    client.press_on("/money/jobs/1/pay", payer="1", amount="126.16", means="cash", invoice_id="")
    assert rest in " ".join(client.text("/money/invoices/1").split()), "the screen shows the paper as it was kept"
    assert (client.get("/money/invoices/1/pdf").data, client.get("/money/payments/1/pdf").data) == (kept, receipt)


def test_a_quick_job_says_on_its_paper_that_and_how_it_was_paid(app: Flask, client: ShopClient) -> None:
    def quick(session: Session) -> Job:
        made = quick_job(Act(session, THE_PROGRAM, NOON), who="Arjun", what="polish", price_minor=6000, means="cash")
        return session.get_one(Job, made.job_id)

    make_in(app, quick)
    for text in (client.text("/money/invoices/1"), pdf_text(client, "/money/invoices/1/pdf")):
        assert "Paid $60.00 in cash, November 5, 2026, receipt 1." in " ".join(text.split())
        assert "Still to pay:" not in text

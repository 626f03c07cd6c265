"""What an invoice says of approvals in the United States, and what is asked of unfinished work."""

from flask import Flask
from sqlalchemy import update
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.web.money.test_small_papers import ISSUE, settle_in


def test_an_american_invoice_says_when_by_whom_and_how_its_work_was_approved(
    client: ShopClient, job_number: int
) -> None:
    """16 CCR 3356 of California asks for the record of an approval on the invoice."""
    page = client.text(f"/money/jobs/{job_number}/invoice")
    assert "Approved Nov 2" in page
    assert "by Ines Okafor:" in page


def test_elsewhere_the_approval_stays_in_the_book(app: Flask, client: ShopClient, job_number: int) -> None:
    settle_in(app, "gb", "GBP")
    assert "by Ines Okafor:" not in client.text(f"/money/jobs/{job_number}/invoice")


def test_of_work_not_marked_ready_the_form_asks_whether_it_is_finished_and_never_refuses(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    assert 'name="finished"' not in client.text(f"/money/jobs/{job_number}/invoice")
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Job).values(ready_at=None))
    assert 'name="finished"' in client.text(f"/money/jobs/{job_number}/invoice")
    answer = client.press(f"/money/jobs/{job_number}/invoice", **{**ISSUE, "supply_on": ""}, finished="on")
    assert answer.status_code == 422
    assert any("Enter the day the work was finished." in said for said in sentences(answer.text))
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **{**ISSUE, "supply_on": ""}, finished="today")
    assert "Invoice 1" in page

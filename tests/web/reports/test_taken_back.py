"""The month and the owner's morning name who credited, refunded or wrote off, and why."""

from datetime import timedelta

from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.reversals import reverse_payment
from shopbook.trade.permissions import Role
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_person
from tests.makers.billing import make_agreed_job
from tests.makers.states import BEFORE, make_in


def by_corin(session: Session) -> Job:
    corin = Act(session, make_person(session, "Corin", Role.DESK), NOON - timedelta(days=1))
    job = make_agreed_job(session, NOON - timedelta(days=1), agreed_at=BEFORE - timedelta(days=1))
    invoice = issue_invoice(corin, job.id)
    credit_invoice(corin, invoice.id, reason="run in the clear", amount_minor=5000)
    payment = take_payment(corin, job_id=job.id, amount_minor=10000, means="cheque")
    reverse_payment(corin, payment.id, kind="returned_cheque", reason="not enough funds")
    return job


def test_the_month_lists_them_on_page_paper_and_table(app: Flask, client: ShopClient) -> None:
    assert "Credits, refunds and write-offs" in client.text("/months/2026-11")
    make_in(app, by_corin)
    page = " ".join(client.text("/months/2026-11").split())
    table = client.text("/months/2026-11/month-end.csv")
    for words in ("Credit note 1, job 1", "Payment reversed, returned check, receipt 2, job 1"):
        assert words in page
        assert words in table
    for words in ("Corin", "run in the clear", "not enough funds", "50.00", "100.00"):
        assert words in page
        assert words in table
    assert 'href="/money/payments/2"' in page


def test_today_tells_the_owner_what_others_did_since_yesterday(app: Flask, client: ShopClient) -> None:
    assert "By others, since yesterday." not in client.text("/today")
    make_in(app, by_corin)
    page = client.text("/today")
    assert "By others, since yesterday." in page
    assert "run in the clear" in page

"""A payer's account on its page: one press from its name, every kind of line, a statement of any days to send."""

import html
import re
from datetime import date
from io import BytesIO

import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.services.act import Act
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.merging import merge_customers
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.rests import move_rest
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.money.write_offs import write_off
from shopbook.trade.permissions import THE_PROGRAM
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.states import BEFORE, make_in

ACCOUNT = "/money/customers/1/account"
STATEMENT = "/money/customers/1/statement"
NOVEMBER = f"{STATEMENT}?first=2026-11-01&last=2026-11-30"


def plain(text: str) -> str:
    """What a page says, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def dealers_days(app: Flask) -> None:
    """Harbor Motors has three invoices of 826.16: one paid and bounced, one short by 12.40 that is given up, one rest
    that moved to Noor Bell; 1,000.00 came of which 100.00 went back."""

    def act_on(session: Session) -> Job:
        act = Act(session, THE_PROGRAM, NOON)
        dealer, other = make_customer(session, "Harbor Motors", kind="dealer"), make_customer(session, "Noor Bell")
        jobs = [make_agreed_job(session, NOON, customer=dealer, agreed_at=BEFORE) for _ in range(3)]
        papers = [issue_invoice(act, job.id) for job in jobs]
        bad = take_payment(act, job_id=jobs[0].id, amount_minor=82_616, means="cheque", reference="HM 1")
        reverse_payment(act, bad.id, kind="returned_cheque", reason="not enough funds")
        take_payment(act, job_id=jobs[1].id, amount_minor=81_376, means="transfer")
        write_off(act, papers[1].id, customer_id=dealer.id, reason="short")
        said = ApprovalSaid("Noor Bell", "phone")
        move_rest(
            act,
            papers[2].id,
            from_id=dealer.id,
            to_id=other.id,
            amount_minor=20_000,
            reason="her part",
            approval=said,
        )
        more = take_payment(act, job_id=jobs[2].id, amount_minor=100_000, means="transfer")
        refund(act, more.id, amount_minor=10_000, means="transfer", reason="asked")
        return jobs[0]

    make_in(app, act_on)


def test_an_account_is_one_press_from_its_payers_name(app: Flask, client: ShopClient) -> None:
    dealers_days(app)
    for page in ("/money/", "/money/invoices/1", "/customers/1"):
        assert f'href="{ACCOUNT}"' in client.text(page)
    assert 'href="/money/customers/2/account"' in client.text("/money/invoices/3")


def test_the_account_says_what_is_open_what_is_unused_and_everything_that_happened(
    app: Flask, client: ShopClient
) -> None:
    dealers_days(app)
    said = plain(client.text(ACCOUNT))
    assert "Overdue $0.00" in said
    assert "Unused credit $273.84" in said
    assert "Balance $552.32" in said
    for words in (
        "Invoice 1 job 1",
        "Payment, receipt 1 check, HM 1 −826.16",
        "Returned check, receipt 2 check, HM 1 826.16",
        "Payment, receipt 3 transfer −813.76",
        "Debt written off invoice 2 −12.40",
        "Moved to another payer invoice 3, job 3",
        "Payment, receipt 4 transfer −1,000.00",
        "Refund, receipt 5 transfer 100.00",
    ):
        assert words in said
    other = plain(client.text("/money/customers/2/account"))
    assert "Moved here from another payer invoice 3, job 3" in other
    assert "Balance $200.00" in other


def test_a_statement_is_the_same_on_screen_on_paper_and_as_text(app: Flask, client: ShopClient) -> None:
    dealers_days(app)
    page = client.text(NOVEMBER)
    shown = plain(page)
    paper = PdfReader(BytesIO(client.get(NOVEMBER.replace("?", ".pdf?")).data))
    printed = " ".join(" ".join(each.extract_text() for each in paper.pages).split())
    for words in ("November 1, 2026 to November 5, 2026", "Balance brought forward", "$552.32", "Debt written off"):
        assert words in shown
        assert words in printed
    for figure in ("826.16", "−273.84", "12.40", "1,000.00", "552.32"):
        assert figure in shown
        assert figure in printed
    text = re.search(r'<textarea[^>]*id="statement-text"[^>]*>(.*?)</textarea>', page, re.DOTALL)
    assert text is not None
    lines = html.unescape(text[1]).strip().split("\n")
    assert lines[1:3] == [
        "Balance on November 5, 2026: $552.32.",
        "Please pay now: $0.00 (nothing is overdue).",
    ]
    assert lines[3] == "Invoice 1, Nov 5, due Nov 5: 826.16"
    assert lines[4] == "Unused credit, receipt 4, Nov 5: −273.84"


def test_a_statement_up_to_a_day_says_nothing_of_later_days(app: Flask, client: ShopClient) -> None:
    dealers_days(app)
    shown = plain(client.text(f"{STATEMENT}?first=2026-10-01&last=2026-11-04"))
    assert "Balance on November 4, 2026 $0.00" in shown
    assert "Invoice 1" not in shown


def test_without_days_it_is_the_month_that_is_over_in_its_first_week(client: ShopClient, app: Flask) -> None:
    dealers_days(app)
    assert "October 1, 2026 to October 31, 2026" in plain(client.text(STATEMENT))
    page = client.text(STATEMENT)
    assert "first=2026-11-01&amp;last=2026-11-05" in page
    assert "first=2026-09-01&amp;last=2026-09-30" in page


@pytest.mark.parametrize(
    ("asked", "sentence", "kept"),
    [
        ("first=2026-11-03&last=2026-11-01", "The first day must not be after the last.", "2026-11-03"),
        ("first=2027-01-01", "Choose a first day that is not after today.", "2027-01-01"),
        ("first=soon&last=2026-11-01", "Enter a day, for example", "soon"),
    ],
)
def test_days_that_cannot_be_are_said_and_what_was_typed_stays(
    app: Flask, client: ShopClient, asked: str, sentence: str, kept: str
) -> None:
    dealers_days(app)
    answer = client.get(f"{STATEMENT}?{asked}")
    assert answer.status_code == 422
    assert sentence in answer.text
    assert f'value="{kept}"' in answer.text


def test_a_merged_customers_invoices_stand_in_the_account_of_the_first(app: Flask, client: ShopClient) -> None:
    def act_on(session: Session) -> Job:
        act = Act(session, THE_PROGRAM, NOON)
        first, second = make_customer(session, "Ines Okafor"), make_customer(session, "I. Okafor")
        jobs = [make_agreed_job(session, NOON, customer=each, agreed_at=BEFORE) for each in (first, second)]
        for job in jobs:
            issue_invoice(act, job.id)
        merge_customers(act, first.id, second.id)
        return jobs[0]

    make_in(app, act_on)
    said = plain(client.text(ACCOUNT))
    assert "Balance $1,652.32" in said
    assert plain(client.text("/money/customers/2/account")).count("Balance $1,652.32") == said.count(
        "Balance $1,652.32"
    )


def test_nobody_without_the_moneys_right_sees_an_account(app: Flask, client: ShopClient) -> None:
    dealers_days(app)
    assert client.signed_in_as("Dana").get(ACCOUNT).status_code == 403
    assert client.get("/money/customers/99/account").status_code in {403, 404}


def test_a_long_name_and_a_name_with_marks_stand_on_the_paper(app: Flask, client: ShopClient) -> None:
    name = "A & B <Garage> " + "W" * 150

    def act_on(session: Session) -> Job:
        job = make_agreed_job(session, NOON, customer=make_customer(session, name), agreed_at=BEFORE)
        issue_invoice(Act(session, THE_PROGRAM, NOON), job.id)
        return job

    make_in(app, act_on)
    body = client.get(NOVEMBER.replace("?", ".pdf?")).data
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(body)).pages).replace("\n", "")
    assert "A & B <Garage>" in text
    assert date(2026, 11, 5).strftime("%B") in text

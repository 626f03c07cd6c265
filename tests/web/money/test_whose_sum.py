"""A job with three payers: on each page and paper the payer's name stands beside every amount to pay."""

import io
import re
from collections.abc import Iterator

import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import ApprovalReading
from shopbook.models.session import make_engine, transaction
from tests.clients import ShopClient, sentences
from tests.conftest import NOON
from tests.makers import make_customer
from tests.makers.billing import name_payer, say_pays
from tests.makers.insured import EXTRA, WORK, Insured
from tests.web.rows_of_page import rows_of

NAMES = ("Thea", "Meadow", "Millpond")
SHARES = ("500.00", "1,314.95")
"""What two of them pay; the third pays its own item, whose price stands in lists of work too."""
TOTALS = ("Total", "Total ", "Still to pay $0.00", "Still to pay $1,412.45", "Still to pay $1,912.45")
"""Sums over all payers: the foot of a table, and the figure at the head of the money page."""
AMOUNT = re.compile(r"\d[\d,]*\.\d\d")
TO_PAY = re.compile(r"\b(to pay|pays|owes?|take payment|give up|go unpaid)\b", re.IGNORECASE)


@pytest.fixture
def book(app: Flask) -> Iterator[Session]:
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session:
        yield session
    engine.dispose()


def open_job(book: Session, *, has_approvals: bool = True, kept_before: int | None = None) -> int:
    """1,912.45: Thea bears an excess of 500.00, the dealer an item of 97.50, the insurer the rest."""
    with transaction(book):
        insured = Insured(book, NOON)
        dealer = make_customer(book, "Millpond Motors", "", kind="dealer", pays_within_days=30)
        name_payer(book, insured.job, dealer, "lines", group_keys="behind", reference="order 7")
        insured.work(WORK, EXTRA)
        if has_approvals:
            insured.approves(131_495)
            say_pays(book, insured.job, dealer, 9_750, NOON)
        if kept_before is not None:
            say_pays(book, insured.job, insured.insurer, kept_before, NOON, pays_minor=None)
        insured.job.ready_at = NOON
        return insured.job.number


def wanting_a_name(rows: list[str]) -> list[str]:
    """The rows that name an amount to pay and nobody who pays it."""
    return [
        row for row in rows if _is_to_pay(row) and not row.startswith(TOTALS) and not any(name in row for name in NAMES)
    ]


def _is_to_pay(row: str) -> bool:
    return bool(AMOUNT.search(row) and TO_PAY.search(row)) or any(share in row for share in SHARES)


def paper_lines(client: ShopClient, url: str) -> list[str]:
    answer = client.get(url)
    assert answer.mimetype == "application/pdf", answer.text[:300]
    return [line for page in PdfReader(io.BytesIO(answer.data)).pages for line in page.extract_text().splitlines()]


def wanting_on_paper(client: ShopClient, url: str) -> list[str]:
    """The lines of a paper that name an amount to pay, and nobody on them or the four before: a cell is a line."""
    lines = paper_lines(client, url)
    near = {place: " ".join(lines[max(0, place - 4) : place + 1]) for place in range(len(lines))}
    asked = [place for place, line in enumerate(lines) if _is_to_pay(line) and not line.startswith(TOTALS)]
    return [near[place] for place in asked if not any(name in near[place] for name in NAMES)]


def pages(number: int) -> list[str]:
    return [
        f"/jobs/{number}",
        "/jobs/",
        "/money/quotes/1",
        "/money/quotes/1/approval",
        "/money/quotes/1/payer-approval",
        "/money/quotes/1/share",
        f"/money/jobs/{number}/invoice",
        f"/money/jobs/{number}/payers",
        f"/money/jobs/{number}/let-go",
        f"/money/jobs/{number}/deposit",
        "/money/",
        "/today",
    ]


def check_pages(client: ShopClient, urls: list[str]) -> None:
    missing = {url: found for url in urls if (found := wanting_a_name(rows_of(client.text(url))))}
    assert missing == {}


def test_before_the_invoice_every_amount_to_pay_has_its_payers_name(client: ShopClient, book: Session) -> None:
    number = open_job(book)
    check_pages(client, pages(number))
    page = client.text(f"/jobs/{number}")
    rows = [row for row in rows_of(page) if "still to pay" in row]
    assert [row for row in rows if "Thea" in row and "$500.00" in row], rows
    assert [row for row in rows if "Meadow" in row and "$1,314.95" in row], rows
    assert wanting_on_paper(client, "/money/quotes/1/pdf") == []


def test_with_nothing_approved_what_is_held_and_at_risk_has_its_payers_name(client: ShopClient, book: Session) -> None:
    number = open_job(book, has_approvals=False)
    check_pages(client, pages(number))
    page = client.text(f"/jobs/{number}")
    assert "Meadow Insurance has not approved $1,314.95" in page
    assert "Millpond Motors has not approved $97.50" in page
    preview = [row for row in rows_of(client.text(f"/money/jobs/{number}/invoice")) if "not approved" in row]
    assert ["$1,314.95" in row and "Meadow" in row for row in preview[:1]] == [True]


def test_after_the_invoice_every_amount_to_pay_has_its_payers_name(client: ShopClient, book: Session) -> None:
    number = open_job(book)
    client.press_on(f"/money/jobs/{number}/invoice", supply_on="2026-11-04", last_number="", tax_number="")
    refused = client.press_on(f"/money/jobs/{number}/hand-over")
    assert "Still to pay: Thea Marsh $500.00." in refused
    issued = ["/money/invoices", "/money/invoices/1", "/money/invoices/1/share", f"/money/jobs/{number}/pay"]
    check_pages(client, [*pages(number), *issued])
    for url in ("pdf", "request/2", "request/3"):
        assert wanting_on_paper(client, f"/money/invoices/1/{url}") == [], url


def test_a_receipt_and_what_is_left_have_their_payers_names(client: ShopClient, book: Session) -> None:
    number = open_job(book)
    client.press_on(f"/money/jobs/{number}/invoice", supply_on="2026-11-04", last_number="", tax_number="")
    client.press_on(f"/money/jobs/{number}/pay", payer="1", amount="500.00", means="card", invoice_id="")
    check_pages(client, [f"/jobs/{number}", "/money/", "/money/payments", "/money/invoices/1"])
    assert any("Thea" in line for line in paper_lines(client, "/money/payments/1/pdf"))
    client.press_on(f"/money/jobs/{number}/hand-over")
    check_pages(client, [f"/jobs/{number}", "/jobs/", "/money/", "/today"])


def test_the_text_that_the_car_is_ready_asks_the_customer_for_its_own_share_alone(
    client: ShopClient, book: Session
) -> None:
    number = open_job(book)
    page = client.text(f"/today/{number}/ready")
    assert "Total due: $500.00." in page


def test_the_insurers_three_figures_are_typed_kept_and_shown(client: ShopClient, book: Session) -> None:
    number = open_job(book, has_approvals=False)
    page = client.text("/money/quotes/1/payer-approval")
    assert not re.search(r'name="(amount|repair_total|excess)"[^>]*value="[^"]+"', page), "nothing is chosen beforehand"
    told = {"customer": "2", "means": "mail", "said_by": "Claims desk", "revision": "1"}
    answer = client.press(
        "/money/quotes/1/payer-approval", repair_total="1,814.95", excess="500.00", amount="1,914.95", **told
    )
    assert answer.status_code == 422
    assert any("more than the repair total" in sentence for sentence in sentences(answer.text))
    assert 'value="500.00"' in answer.text, "what was typed stays"
    client.press_on(
        "/money/quotes/1/payer-approval", repair_total="1,814.95", excess="500.00", amount="1,314.95", **told
    )
    row = next(row for row in rows_of(client.text(f"/jobs/{number}")) if "repair total" in row)
    assert "Meadow Insurance pays $1,314.95 repair total $1,814.95, deductible $500.00" in row


def test_an_older_approval_is_shown_in_both_readings_and_one_press_chooses(client: ShopClient, book: Session) -> None:
    number = open_job(book, has_approvals=False, kept_before=190_000)
    page = client.text(f"/jobs/{number}")
    assert "Their share, $1,900.00" in page
    assert "Whole repair, share $1,302.50" in page
    client.press_on(f"/money/jobs/{number}/approvals/2/read/whole")
    assert "Their share, $1,900.00" not in client.text(f"/jobs/{number}")
    assert book.scalars(select(ApprovalReading.pays_minor)).all() == [130_250]
    assert client.press(f"/money/jobs/{number}/approvals/99/read/whole").status_code in {303, 404}


def test_betterment_is_typed_on_the_customers_row(client: ShopClient, book: Session) -> None:
    number = open_job(book)
    fields = {
        "payers-0-customer": "1",
        "payers-0-rule": "excess",
        "payers-0-amount": "500",
        "payers-0-betterment": "60",
        "payers-0-betterment_code": "sales",
        "payers-1-customer": "2",
        "payers-1-rule": "rest",
    }
    assert client.press(f"/money/jobs/{number}/payers", **fields).status_code == 303
    assert "564.80" in client.text("/money/quotes/1")
    wrong = fields | {"payers-1-betterment": "5"}
    answer = client.press(f"/money/jobs/{number}/payers", **wrong)
    assert any("pays no betterment" in sentence for sentence in sentences(answer.text))


def test_a_customer_who_pays_an_extra_itself_says_so_on_the_approval_page(client: ShopClient, book: Session) -> None:
    number = open_job(book)
    with transaction(book):
        job = book.scalars(select(Job).where(Job.number == number)).one()
        insured = Insured.__new__(Insured)
        insured.session, insured.now, insured.job = book, NOON, job
        insured.work(("more", "Rust", [("labour", "Weld", 5_000)]), kind="extra", has_yes=False)
    assert "The customer pays for this extra" not in client.text("/money/quotes/1/approval")
    fields = {
        "groups": ["3"],
        "means": "phone",
        "taken_by": "1",
        "said_by": "Thea",
        "revision": "1",
        "customer_pays": "y",
    }
    answer = client.press("/money/quotes/2/approval", **fields)
    assert answer.status_code == 303, sentences(answer.text)
    assert [row for row in rows_of(client.text(f"/jobs/{number}")) if "Thea Marsh still to pay $550.00" in row]

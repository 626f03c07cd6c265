"""The list of invoices: worst first, folded, filtered by month and state; the receipts of a day by means."""

from datetime import timedelta

import pytest

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.billing import make_agreed_job
from tests.web.rendering import find, parse, seen_rows


def states(client: ShopClient, url: str = "/money/invoices") -> list[str]:
    page = parse(client.text(url))
    return [each.text_content() for each in find(page, "span", class_="tag")]


def issue(client: ShopClient, number: int, on: str = "2026-11-04") -> None:
    client.press_on(f"/money/jobs/{number}/invoice", supply_on=on, last_number="", tax_number="")


def test_an_invoice_is_due_then_late_and_then_paid(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    page = client.text("/money/invoices")
    assert "Ines Okafor" in page
    assert "$826.16 open" in page
    client.app.config["CLOCK"] = lambda: NOON + timedelta(days=40)
    assert "late" in states(client)[0]
    assert states(client, "/money/invoices?state=overdue") == states(client, "/money/invoices?state=open")
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", invoice_id="", amount="826.16", means="card")
    assert states(client) == ["paid"]
    assert states(client, "/money/invoices?state=open") == []
    assert states(client, "/money/invoices?state=paid&month=2026-11") == ["paid"]
    assert states(client, "/money/invoices?month=2026-10") == []


def test_a_debt_that_was_written_off_is_not_said_to_be_paid(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    client.press_on("/money/invoices/1/write-off/1", amount="826.16", reason="moved away")
    assert states(client) == ["debt written off"]


def test_a_credited_invoice_is_not_said_to_be_paid(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    client.press_on("/money/invoices/1/credit", what="rest", reason="wrong customer")
    assert states(client) == ["credited"]
    assert "Credit note 1" in client.text("/money/invoices?state=credit_note")


@pytest.mark.parametrize("asked", ["month=tomorrow", "month=2026-13", "state=lost", "on=32", "before=x"])
def test_what_cannot_be_asked_for_shows_the_list_as_it_is(client: ShopClient, job_number: int, asked: str) -> None:
    issue(client, job_number)
    assert "Invoice 1" in client.text(f"/money/invoices?{asked}")


def test_the_receipts_of_a_day_are_summed_by_means(client: ShopClient, job_number: int) -> None:
    issue(client, job_number)
    for amount, means in (("100", "cash"), ("50", "cash"), ("200", "card")):
        client.press_on(f"/money/jobs/{job_number}/pay", payer="1", invoice_id="", amount=amount, means=means)
    (sums,) = find(parse(client.text("/money/invoices")), "dl", class_="tally")
    assert [each.text_content() for each in sums] == ["Card, 1", "$200.00", "Cash, 2", "$150.00", "Total", "$350.00"]
    assert "No receipts on this day." in client.text("/money/invoices?on=2026-11-04")


def test_more_invoices_add_one_line_with_their_sum(client: ShopClient) -> None:
    with client.app.app_context(), transaction(db.session()) as session:
        numbers = [make_agreed_job(session, NOON, agreed_at=NOON - timedelta(days=3)).number for _ in range(11)]
    for number in numbers:
        issue(client, number)
    page = parse(client.text("/money/invoices"))
    assert len(seen_rows(page)) == 8
    assert "3 more invoices, $2,478.48" in [each.text_content() for each in find(page, "summary")]

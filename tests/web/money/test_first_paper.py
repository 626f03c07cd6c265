"""What is asked once before the first paper: the prefix of invoice numbers and the bank account, among the rest."""

from flask import Flask

from shopbook.models.money import Invoice
from shopbook.models.shop import Book
from tests.clients import ShopClient, sentences
from tests.web.money.test_small_papers import ISSUE, one

ASKED = ISSUE | {"last_number": "1041", "number_prefix": "2026-", "pay_to": "Example Bank, 12-34-56, 01234567"}


def test_the_first_invoice_carries_prefix_and_account_and_so_does_the_next(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    """After the last old number 1041 comes 2026-1042."""
    asked = client.text(f"/money/jobs/{job_number}/invoice")
    assert 'name="number_prefix"' in asked
    assert 'name="pay_to"' in asked
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **ASKED)
    assert "Invoice 2026-1042" in page
    assert "Example Bank, 12-34-56, 01234567 Please include invoice number 2026-1042." in page
    assert one(app, Invoice).number == 1042
    credit = client.press_on(f"/money/invoices/{one(app, Invoice).id}/credit", what="rest", reason="Price was wrong")
    assert "invoice 2026-1042 of" in credit
    assert "Credit note 1" in credit
    quick = client.press_on("/money/quick", who="Ines Okafor", what="Polished", price="60", kind="labour", means="card")
    assert "Invoice 2026-1043" in quick


def test_neither_is_required_and_nothing_is_printed_of_them_then(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    page = client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert "Invoice 1" in page
    assert "Please include" not in page
    assert (one(app, Book).number_prefix, one(app, Book).pay_to) == ("", "")


def test_a_prefix_that_is_none_is_said_beside_its_field_and_all_that_was_typed_stays(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    answer = client.press(f"/money/jobs/{job_number}/invoice", **(ASKED | {"number_prefix": "no. 7 of"}))
    assert answer.status_code == 422
    said = "Enter up to 12 letters, digits, dots, dashes or slashes, for example 2026-."
    assert any(said in sentence for sentence in sentences(answer.text))
    for typed in ("no. 7 of", "1041", "Example Bank, 12-34-56, 01234567"):
        assert typed in answer.text
    assert one(app, Invoice) is None
    assert one(app, Book).pay_to == ""


def test_once_there_is_an_invoice_it_is_not_asked_again_and_a_form_of_before_changes_nothing(
    app: Flask, client: ShopClient, job_number: int
) -> None:
    client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    assert 'name="number_prefix"' not in client.text("/money/quick")
    client.press_on(
        "/money/quick",
        who="Ines Okafor",
        what="Polished",
        price="60",
        kind="labour",
        means="card",
        number_prefix="2027-",
    )
    assert one(app, Book).number_prefix == ""

"""The page on which a payment is taken back, pressed as the desk presses it."""

import pytest
from sqlalchemy import select

from shopbook.models.money import Payment
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.web.shop.test_settings import MONEY

TYPED = {"supply_on": "2026-11-04", "last_number": "", "tax_number": ""}
RIGHT = {
    "on": "2026-11-05",
    "means": "cheque",
    "paid_on": "2026-11-05",
    "job": "1",
    "reference": "",
    "amount": "826.16",
}


@pytest.fixture
def paid(client: ShopClient, job_number: int) -> ShopClient:
    """Job 1 of 826.16, invoiced and paid by cheque."""
    client.press_on(f"/money/jobs/{job_number}/invoice", **TYPED)
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="826.16", means="cheque", invoice_id="")
    return client


def lines(client: ShopClient) -> list[tuple[str, int, str]]:
    with client.app.app_context():
        rows = db.session.execute(select(Payment.kind, Payment.amount_minor, Payment.means).order_by(Payment.id))
        return [tuple(row) for row in rows]


def test_a_returned_check_is_two_presses_from_its_receipt_and_the_invoice_is_open_again(paid: ShopClient) -> None:
    assert 'href="/money/payments/1/reverse"' in paid.text("/money/payments/1")
    form = paid.text("/money/payments/1/reverse")
    assert "Returned check" in form
    assert "Chargeback" not in form
    kept = paid.get("/money/payments/1/pdf").data
    page = paid.press_on("/money/payments/1/reverse", **RIGHT, kind="returned_cheque", reason="not enough funds")
    assert "Receipt 1 is reversed, and is to pay again." in page
    assert "Take payment" in page
    assert lines(paid) == [("payment", 82616, "cheque"), ("returned_cheque", -82616, "cheque")]
    assert paid.get("/money/payments/1/pdf").data == kept
    first, back = paid.text("/money/payments/1"), paid.text("/money/payments/2")
    assert "not enough funds" in first
    assert "Reverse payment" not in first
    assert "Takes back" in back
    assert "Reversal 2" in back
    assert "$826.16" in paid.text("/money/invoices/1")


def test_what_is_corrected_in_the_form_is_entered_again(paid: ShopClient) -> None:
    right = RIGHT | {"amount": "800", "means": "cash"}
    page = paid.press_on("/money/payments/1/reverse", **right, kind="typed_wrong", reason="it was cash")
    assert "Receipt 1 is reversed and entered again." in page
    assert lines(paid)[1:] == [("typed_wrong", -82616, "cheque"), ("payment", 80000, "cash")]
    assert "$26.16" in page


def test_a_form_that_cannot_be_keeps_what_was_typed_and_saves_nothing(paid: ShopClient) -> None:
    for changed, sentence in (
        ({"reason": ""}, "Enter what happened"),
        ({"kind": "chargeback"}, "Choose one from the list"),
        ({"kind": "other_job"}, "Enter the number of the job that this payment belongs to."),
        ({"kind": "other_job", "job": "77"}, "No job has that number."),
        ({"kind": "typed_wrong", "job": "x"}, "Enter a job number, for example 1041."),
        ({"kind": "typed_wrong", "amount": "0"}, "Enter an amount above zero"),
        ({"kind": "typed_wrong", "paid_on": "2026-11-09"}, "cannot be dated after today"),
        ({"on": "2026-11-04"}, "before the day it was made"),
    ):
        sent = RIGHT | {"kind": "returned_cheque", "reason": "bounced, says the bank"} | changed
        answer = paid.press("/money/payments/1/reverse", **sent)
        assert answer.status_code == 422, changed
        assert sentence in answer.text, changed
        assert sent["reason"] in answer.text
    assert len(lines(paid)) == 1


def test_a_second_tab_is_told_that_nothing_is_left(paid: ShopClient) -> None:
    sent = RIGHT | {"kind": "returned_cheque", "reason": "bounced"}
    paid.press_on("/money/payments/1/reverse", **sent)
    assert paid.press("/money/payments/1/reverse", **sent).status_code == 422
    assert "Nothing of this payment is left to reverse." in paid.text("/money/payments/1/reverse")
    assert len(lines(paid)) == 2


def test_the_fee_is_off_until_the_owner_sets_one_and_the_setting_names_the_cap(paid: ShopClient) -> None:
    assert "Charge" not in paid.text("/money/payments/1/reverse")
    setting = paid.text("/settings/money")
    assert "Fee for a returned check" in setting
    assert "California caps it at 25, then 35 for further ones (Civil Code 1719)." in setting
    paid.press_on("/settings/money", **MONEY, returned_cheque_fee_minor="25")
    assert "Charge $25.00 for the returned check" in paid.text("/money/payments/1/reverse")
    page = paid.press_on(
        "/money/payments/1/reverse", **RIGHT, kind="returned_cheque", reason="not enough funds", with_fee="y"
    )
    assert "$851.16" in page
    paper = paid.text("/money/invoices/2")
    for words in ("Returned check fee", "check of November 5, 2026, receipt 1", "Not taxed", "25.00"):
        assert words in paper
    assert paid.get("/money/invoices/2/pdf").data.startswith(b"%PDF")

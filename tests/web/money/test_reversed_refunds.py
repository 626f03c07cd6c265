"""The page on which a refund is taken back, pressed as the desk presses it."""

import pytest

from tests.clients import ShopClient
from tests.web.money.test_reversals import TYPED, lines

RIGHT = {"on": "2026-11-05", "means": "card", "paid_on": "2026-11-05", "amount": "200.00"}


@pytest.fixture
def refunded(client: ShopClient, job_number: int) -> ShopClient:
    """Job 1 of 826.16, paid with 1,126.16 by card, of it 200.00 refunded."""
    client.press_on(f"/money/jobs/{job_number}/invoice", **TYPED)
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="1126.16", means="card", invoice_id="")
    client.press_on("/money/payments/1/refund", amount="200", means="card", reason="paid too much", on="2026-11-05")
    return client


def test_a_refund_is_reversed_and_entered_again_from_its_receipt(refunded: ShopClient) -> None:
    assert 'href="/money/payments/2/reverse-refund"' in refunded.text("/money/payments/2")
    assert "$200.00 becomes unused credit again" in refunded.text("/money/payments/2/reverse-refund")
    kept = refunded.get("/money/payments/2/pdf").data
    right = RIGHT | {"amount": "20"}
    page = refunded.press_on("/money/payments/2/reverse-refund", **right, reason="200 typed for 20")
    assert "Refund 2 is reversed and entered again." in page
    assert "$280.00" in page
    assert lines(refunded)[1:] == [
        ("refund", -20000, "card"),
        ("typed_wrong", 20000, "card"),
        ("refund", -2000, "card"),
    ]
    assert refunded.get("/money/payments/2/pdf").data == kept
    assert "Reverse refund" not in refunded.text("/money/payments/2")
    line = refunded.text("/money/payments/3")
    assert "Takes back" in line
    assert not any(press in line for press in ("Reverse payment", "Move payment", "Save refund", "Reverse refund"))
    assert "$20.00 of it was refunded before" in refunded.text("/money/payments/1/reverse")
    assert "Refund reversed, entered wrong" in refunded.text("/months/2026-11")


def test_nothing_changed_only_reverses_it_and_a_second_press_does_nothing(refunded: ShopClient) -> None:
    page = refunded.press_on("/money/payments/2/reverse-refund", **RIGHT, reason="it never went out")
    assert "Refund 2 is reversed. Its money is unused credit again." in page
    assert "Nothing of this refund is left to reverse." in refunded.text("/money/payments/2/reverse-refund")
    refunded.press("/money/payments/2/reverse-refund", **RIGHT, reason="it never went out")
    assert [kind for kind, *_ in lines(refunded)] == ["payment", "refund", "typed_wrong"]


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"reason": ""}, "Enter what was wrong"),
        ({"amount": "many"}, "Enter an amount"),
        ({"amount": "900"}, "more than this payment"),
        ({"on": "2026-11-04"}, "before the day it was made"),
    ],
)
def test_bad_input_has_its_sentence_and_nothing_is_saved(
    refunded: ShopClient, wrong: dict[str, str], sentence: str
) -> None:
    typed = RIGHT | {"reason": "200 typed for 20"} | wrong
    answer = refunded.press("/money/payments/2/reverse-refund", **typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert [kind for kind, *_ in lines(refunded)] == ["payment", "refund"]

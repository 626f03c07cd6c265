"""Money entered wrong, entered for another job, or taken back by the bank: the way to the form, then what all says."""

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.queries.money.owed import list_on_account, list_owed
from shopbook.queries.reports.proofs import list_proofs
from shopbook.services.act import Act
from shopbook.services.money.payments import refund
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import DESK, Hand, Shop
from tests.journeys.mistakes import Billed, billed, reach

pytestmark = pytest.mark.browser
SLOW = 60_000
"""Receipts are made into files by the press that saves: no speed is claimed of it."""


def lines_of(book: Session, made: Billed) -> list[tuple[str, int, str]]:
    rows = book.execute(
        select(Payment.kind, Payment.amount_minor, Payment.means)
        .where(Payment.job_id == made.job_id)
        .order_by(Payment.id)
    )
    return [tuple(row) for row in rows]


def owed_of(book: Session, made: Billed) -> list[int]:
    return [line.owed_minor for line in list_owed(book) if line.job_number == made.job]


def is_settled(book: Session, made: Billed) -> bool:
    return book.get_one(Job, made.job_id).settled_at is not None


def proved(book: Session) -> bool:
    return [fault for proof in list_proofs(book) for fault in proof.faults] == []


def open_page(hand: Hand, path: str) -> None:
    hand.page.set_default_timeout(SLOW)
    hand.go(path)


def test_a_payment_entered_wrong_is_entered_again(shop: Shop, browser: Browser) -> None:
    """257.31 in cash was entered as 275.31 by card: 18.00 is open again."""
    made = billed(shop, paid_by="card")
    with shop.hand(browser, "Desk", size=DESK) as hand:
        open_page(hand, "/money/")
        reach(hand, "typed", receipt=made.receipt)
        kept = hand.fetch(f"/money/payments/{made.payment_id}/pdf")
        hand.pick("Entered wrong")
        hand.fill("Reason", "257.31 in cash")
        hand.fill("Amount, $", "257.31")
        hand.pick("Cash")
        hand.press("Reverse payment")
        hand.arrives(rf"/jobs/{made.job}$")
        hand.says("reversed and entered again", "Still to pay", "$18.00")
        assert hand.fetch(f"/money/payments/{made.payment_id}/pdf") == kept
        words = hand.reads(f"/money/payments/{made.payment_id + 1}/pdf")
        again = hand.reads(f"/money/payments/{made.payment_id + 2}/pdf")
        hand.go("/money/")
        hand.says("$18.00", f"job {made.job}")
    for each in (f"Reversal {made.receipt + 1}", f"Entered wrong: receipt {made.receipt}", "257.31 in cash"):
        assert each in words, each
    assert "257.31" in again
    with shop.book() as book:
        assert lines_of(book, made) == [
            ("payment", 27531, "card"),
            ("typed_wrong", -27531, "card"),
            ("payment", 25731, "cash"),
        ]
        assert (owed_of(book, made), is_settled(book, made)) == ([1800], False)
        assert proved(book)


def test_a_payment_goes_to_the_job_that_it_belongs_to(shop: Shop, browser: Browser) -> None:
    wrong, right = billed(shop, paid_by="transfer"), billed(shop)
    with shop.hand(browser, "Desk") as hand:
        open_page(hand, f"/jobs/{wrong.job}")
        reach(hand, "other_job")
        hand.pick("Belongs to another job")
        hand.fill("Reason", "The transfer named the other car")
        hand.fill("Job", str(right.job), exact=True)
        hand.press("Reverse payment")
        hand.arrives(rf"/jobs/{right.job}$")
        hand.says("reversed and entered again")
        words = hand.reads(f"/money/payments/{wrong.payment_id + 1}/pdf")
        again = hand.reads(f"/money/payments/{wrong.payment_id + 2}/pdf")
    assert "The transfer named the other car" in words
    for each in (f"Invoice {right.invoice}", "275.31", str(right.job)):
        assert each in again, each
    with shop.book() as book:
        assert lines_of(book, wrong)[1:] == [("other_job", -27531, "transfer")]
        assert lines_of(book, right) == [("payment", 27531, "transfer")]
        assert (owed_of(book, wrong), is_settled(book, wrong)) == ([27531], False)
        assert (owed_of(book, right), is_settled(book, right)) == ([], True)
        assert proved(book)


def test_a_chargeback_opens_the_invoice_with_its_old_due_day(shop: Shop, browser: Browser) -> None:
    made = billed(shop, paid_by="card")
    due = shop.clock().date()
    shop.clock.on(9 * 24 * 60)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        open_page(hand, "/money/")
        reach(hand, "chargeback", receipt=made.receipt)
        hand.pick("Chargeback")
        hand.fill("Reason", "The bank took it back")
        hand.press("Reverse payment")
        hand.arrives(rf"/jobs/{made.job}$")
        words = hand.reads(f"/money/payments/{made.payment_id + 1}/pdf")
        hand.go("/money/")
        hand.says(f"job {made.job}", "9 days late")
    for each in ("Chargeback", "The bank took it back", "275.31"):
        assert each in words, each
    with shop.book() as book:
        assert lines_of(book, made)[1:] == [("chargeback", -27531, "card")]
        assert [line.due_on for line in list_owed(book) if line.job_number == made.job] == [due]
        assert not is_settled(book, made)
        assert proved(book)


def test_a_refund_entered_wrong_is_entered_again(shop: Shop, browser: Browser) -> None:
    """300.00 too much was paid; 200.00 was entered as refunded where 20.00 went back: 280.00 is credit."""
    made = billed(shop, paid_by="card", paid_minor=57531)
    with shop.writing() as book:
        act = Act(book, THE_PROGRAM, shop.clock())
        back = refund(act, made.payment_id, amount_minor=20000, means="card", reason="paid too much").number
    with shop.hand(browser, "Desk", size=DESK) as hand:
        open_page(hand, "/money/")
        hand.begin_count()
        hand.follow(f"Receipt {back}")
        hand.follow("Reverse refund")
        hand.took_at_most(3)
        hand.fill("Reason", "200 typed for 20")
        hand.fill("Amount, $", "20")
        hand.press("Reverse refund")
        hand.arrives(rf"/money/payments/{made.payment_id}$")
        hand.says("reversed and entered again", "Unused credit", "$280.00")
        words = hand.reads(f"/money/payments/{made.payment_id + 2}/pdf")
        hand.go("/money/")
        hand.says("$280.00")
    assert f"Entered wrong: receipt {back}" in words
    with shop.book() as book:
        assert [amount for _, amount, _ in lines_of(book, made)] == [57531, -20000, 20000, -2000]
        assert [row.free_minor for row in list_on_account(book) if row.job_number == made.job] == [28000]
        assert (owed_of(book, made), is_settled(book, made)) == ([], False)
        assert proved(book)

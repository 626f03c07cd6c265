"""Mistakes on an invoice whose price is right: its words, who owes the rest of it, and a debt that is given up."""

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoicePayer, Payment
from shopbook.queries.money.owed import list_owed
from shopbook.queries.reports.proofs import list_proofs
from tests.journeys.hands import DESK, Shop
from tests.journeys.mistakes import billed, reach, short_paid

pytestmark = pytest.mark.browser
SLOW = 60_000
"""Papers are made into files by the press that issues them: no speed is claimed of it."""


def owed_of(book: Session, number: int) -> list[tuple[str, int]]:
    return [(line.payer, line.owed_minor) for line in list_owed(book) if line.job_number == number]


def is_settled(book: Session, job_id: int) -> bool:
    return book.get_one(Job, job_id).settled_at is not None


def proved(book: Session) -> bool:
    return [fault for proof in list_proofs(book) for fault in proof.faults] == []


def test_the_name_on_a_paid_invoice_is_put_right_with_equal_sums(shop: Shop, browser: Browser) -> None:
    made = billed(shop, paid_by="card")
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go(f"/jobs/{made.job}")
        reach(hand, "words", invoice=made.invoice)
        kept = hand.fetch(f"/money/invoices/{made.invoice_id}/pdf")
        hand.unfold("Name, address, order number, words")
        hand.fill("Name", "Hale Bakery, I. Okafor", exact=True)
        hand.fill("Order number", "PO 4471")
        hand.fill("Reason", "The firm pays it")
        hand.press("See both papers")
        hand.says("Hale Bakery, I. Okafor", "PO 4471", "Total", "$275.31")
        hand.press("Issue both")
        hand.arrives(rf"/money/invoices/{made.invoice_id + 2}$")
        words = hand.reads(f"{hand.path}/pdf")
        assert hand.fetch(f"/money/invoices/{made.invoice_id}/pdf") == kept
        hand.go("/money/")
        hand.says("Nobody owes anything.")
    for each in ("Hale Bakery, I. Okafor", "PO 4471", "275.31", f"invoice {made.invoice} of", "The firm pays it"):
        assert each in words, each
    with shop.book() as book:
        papers = book.scalars(select(Invoice).where(Invoice.job_id == made.job_id).order_by(Invoice.id)).all()
        assert [(paper.kind, paper.gross_minor) for paper in papers] == [
            ("invoice", 27531),
            ("credit", -27531),
            ("invoice", 27531),
        ]
        assert book.scalars(select(Payment.amount_minor).where(Payment.job_id == made.job_id)).all() == [27531]
        assert (owed_of(book, made.job), is_settled(book, made.job_id)) == ([], True)
        assert proved(book)


def test_what_the_insurer_is_short_by_is_charged_to_the_customer(shop: Shop, browser: Browser) -> None:
    """Of 275.31 the insurer was billed 175.31 and paid 162.91: 12.40 are the customer's now, the paper stays."""
    made = short_paid(shop, 1240)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go("/money/")
        hand.says("Northfield Mutual, $12.40")
        reach(hand, "rest", invoice=made.invoice)
        kept = hand.fetch(f"/money/invoices/{made.invoice_id}/pdf")
        hand.fill("Reason", "Not covered")
        hand.fill("Approved by", "Ines Okafor")
        hand.pick("Call")
        hand.press("Charge this payer")
        hand.arrives(r"/money/invoices/\d+$")
        assert hand.fetch(f"/money/invoices/{made.invoice_id}/pdf") == kept
        hand.go("/money/")
        hand.says("Ines Okafor, $12.40")
    with shop.book() as book:
        rows = book.scalars(select(InvoicePayer).where(InvoicePayer.invoice_id == made.invoice_id))
        assert sorted(row.share_minor for row in rows) == [-1240, 1240, 10000, 17531]
        assert [owed for _, owed in owed_of(book, made.job)] == [1240]
        assert not is_settled(book, made.job_id)
        assert proved(book)


def test_debt_is_written_off_and_money_comes_after_all(shop: Shop, browser: Browser) -> None:
    made = billed(shop)
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go("/money/")
        reach(hand, "debt", invoice=made.invoice)
        kept = hand.fetch(f"/money/invoices/{made.invoice_id}/pdf")
        hand.fill("Reason", "Moved away")
        hand.press("Write off debt")
        hand.arrives(rf"/money/invoices/{made.invoice_id}$")
        hand.says("Written off")
        with shop.book() as book:
            assert (owed_of(book, made.job), is_settled(book, made.job_id)) == ([], True)
        hand.follow("Money came after all")
        hand.fill("Amount, $", "100")
        hand.press("Save payment")
        hand.page.wait_for_load_state()
        assert hand.fetch(f"/money/invoices/{made.invoice_id}/pdf") == kept
        with shop.book() as book:
            asked = select(Payment).where(Payment.job_id == made.job_id).order_by(Payment.id)
            lines = [(row.kind, row.amount_minor) for row in book.scalars(asked)]
            paid = next(row for row in book.scalars(asked) if row.kind == "payment")
            assert lines == [("written_off", 27531), ("payment", 10000), ("recovered", -10000)]
            assert (owed_of(book, made.job), is_settled(book, made.job_id)) == ([], True)
            assert proved(book)
        words = hand.reads(f"/money/payments/{paid.id}/pdf")
    for each in (f"Receipt {paid.number}", f"Invoice {made.invoice}", "100.00"):
        assert each in words, each

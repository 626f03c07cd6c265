"""A wrong price on a paid invoice is put right in one act, and ledger, state, lists and papers all say so."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, InvoiceApproval, Payment
from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import DESK, PHONE, Shop
from tests.makers.billing import add_quote, make_job

pytestmark = pytest.mark.browser

DOOR = ("left_front_door", "Left front door", [("labour", "Work", 20900), ("materials", "Paint and materials", 6140)])


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """A job handed over and settled: 275.31, paid by card."""
    at = shop.clock()
    with shop.writing() as book:
        job = make_job(book, at, agreed_at=at - timedelta(days=3), ready_at=at)
        add_quote(book, job, job.opened_at, [DOOR])
        act = Act(book, THE_PROGRAM, at)
        issue_invoice(act, job.id)
        take_payment(act, job_id=job.id, amount_minor=27531, means="card")
        hand_over(act, job.id)
        return job.number


SLOW = 60_000
"""Both papers and the receipt are made into files by that press: no speed is claimed of it."""


def test_a_price_is_corrected_and_twenty_go_back(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go(f"/jobs/{number}")
        hand.begin_count()
        hand.unfold("Money")
        hand.tap(hand.page.get_by_role("link", name=re.compile("^Invoice 1")).first)
        hand.follow("Correct invoice")
        hand.took_at_most(3)
        hand.fill("Left front door: Work, $", "189")
        hand.fill("Reason", "The door was priced wrong")
        hand.press("See both papers")
        hand.says("Credit note 1 and invoice 2", "$255.31", "$20.00", "Replaces")
        with shop.book() as book:
            assert len(book.scalars(select(Invoice)).all()) == 1
        hand.press("Issue both")
        hand.arrives(r"/money/invoices/\d+$")
        hand.says("Issued credit note 1 and invoice 2.", "It corrects")
        words = hand.reads(f"{hand.path}/pdf")
        hand.go("/money/invoices")
        hand.says("Credit note 1", "Invoice 2", "$255.31")
        hand.go("/money/")
        hand.says("Nobody owes anything.")
    for each in ("Invoice 2", "255.31", "Replaces", "invoice 1 of", "The door was priced wrong", "Work finished"):
        assert each in words, each
    with shop.book() as book:
        first, note, corrected = book.scalars(select(Invoice).order_by(Invoice.id)).all()
        assert (note.gross_minor, corrected.gross_minor, corrected.corrects_id) == (-27531, 25531, first.id)
        assert sum(row.amount_minor for row in book.scalars(select(Payment))) == 25531
        assert sum(row.amount_minor for row in book.scalars(select(Allocation))) == 25531
        job = book.scalars(select(Job).where(Job.number == number)).one()
        assert job.settled_at is not None


def test_a_price_too_low_is_raised_with_approval_on_a_phone_and_the_job_is_open_again(
    shop: Shop, browser: Browser, number: int
) -> None:
    with shop.hand(browser, "Desk", size=PHONE) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go("/money/invoices/3/correct")
        hand.fill("Left front door: Work, $", "409")
        hand.fill("Reason", "An hour was forgotten")
        hand.press("See both papers")
        hand.says("has not approved $200.00 of it", "$220.00")
        hand.press("Issue both")
        hand.says("Say who approved $200.00 more")
        hand.fill("Approved by", "Ines Okafor")
        hand.pick("Call")
        hand.press("Issue both")
        hand.arrives(r"/money/invoices/\d+$")
        hand.says("Approved by Ines Okafor", "Still to pay", "$220.00")
        hand.go("/money/")
        hand.says("$220.00")
    with shop.book() as book:
        assert book.scalars(select(InvoiceApproval.amount_minor)).all() == [20000]
        assert book.scalars(select(Job.settled_at).where(Job.number == number)).one() is None


def test_the_rest_is_written_off_in_part_and_money_comes_after_all(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.page.set_default_timeout(SLOW)
        hand.go("/money/invoices/5")
        hand.tap(hand.page.get_by_role("link", name=re.compile("^Write off debt")))
        hand.says("$220.00 is still to pay")
        hand.fill("Reason", "Moved away")
        hand.press("Write off debt")
        hand.arrives(r"/money/invoices/5$")
        hand.says("Written off")
        hand.follow("Money came after all")
        hand.fill("Amount, $", "100")
        hand.press("Save payment")
        hand.page.wait_for_load_state()
        hand.go("/money/payments")
        hand.says("bad debt recovered", "−$100.00")
    with shop.book() as book:
        assert [row.kind for row in book.scalars(select(Payment).order_by(Payment.id))][-3:] == [
            "written_off",
            "payment",
            "recovered",
        ]
        assert book.scalars(select(Job.settled_at).where(Job.number == number)).one() is not None

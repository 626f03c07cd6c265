"""The ways back: a job's customer is changed, an approval is withdrawn, two customers are merged."""

from datetime import timedelta

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import ApprovalWithdrawal, Invoice, Payment
from shopbook.queries.money.owed import list_owed
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import DESK, Shop
from tests.journeys.mistakes import reach
from tests.makers.billing import make_agreed_job
from tests.makers.customers import make_customer

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """A job of Jana Kirk with an approved quote, 100.00 held and a deposit invoice over 240.00; Thea Lund is known."""
    at = shop.clock()
    with shop.writing() as book:
        job = make_agreed_job(book, at, customer=make_customer(book, "Jana Kirk", "555-0171"))
        make_customer(book, "Thea Lund", "555-0172")
        act = Act(book, THE_PROGRAM, at - timedelta(hours=1))
        take_deposit(act, job.id, amount_minor=10_000, means="cash", treatment="held")
        take_deposit(act, job.id, amount_minor=24_000, means="card", treatment="taxed")
        return job.number


def test_a_job_is_given_to_the_customer_whose_it_is(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go(f"/jobs/{number}")
        reach(hand, "customer")
        hand.says("What goes along", "Deposit invoice 1", "$240.00", "$100.00")
        hand.fill("Name or phone", "Thea Lund")
        hand.press("Change customer")
        hand.says("already. Choose below")
        hand.tap(hand.page.get_by_label("Thea Lund"))
        # Three papers are made at once, the first of the book with its fonts.
        hand.page.set_default_timeout(60_000)
        hand.press("Change customer")
        hand.arrives(rf"/jobs/{number}$")
        hand.unfold("Approvals")
        hand.says("Thea Lund", "recorded under Jana Kirk")
        hand.go("/money/")
        hand.says("Thea Lund, $100.00")
        note, words = hand.reads("/money/invoices/2/pdf"), hand.reads("/money/invoices/3/pdf")
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go("/money/invoices/3")
        hand.says("Thea Lund", "credited by credit note 1")
    assert "Jana Kirk" in note
    assert "Thea Lund" in words
    assert "Jana Kirk" not in words
    with shop.book() as book:
        assert book.scalars(select(Job.customer_id)).all() == [2]
        amounts = book.scalars(select(Payment.amount_minor).order_by(Payment.id)).all()
        assert amounts == [10_000, 24_000, -10_000, 10_000, -24_000, 24_000]
        kinds = book.scalars(select(Invoice.kind).order_by(Invoice.id)).all()
        assert kinds == ["deposit", "credit", "deposit"]


def test_an_approval_is_withdrawn_with_its_reason(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go(f"/jobs/{number}")
        reach(hand, "approval", approval="Extra, Behind the wheel arch: customer, Nov 3")
        hand.press("Withdraw approval")
        hand.says("Say in a few words why")
        hand.fill("Reason", "She never agreed to the arch")
        hand.press("Withdraw approval")
        hand.arrives(rf"/jobs/{number}$")
        hand.took_at_most(5)
        hand.unfold("Money")
        hand.says("Withdrawn approvals", "She never agreed to the arch", "$763.00")
        hand.go(f"/money/jobs/{number}/invoice")
        assert "Behind the wheel arch" not in hand.page.locator("main").inner_text()
    with shop.book() as book:
        assert book.scalars(select(ApprovalWithdrawal.reason)).all() == ["She never agreed to the arch"]


def test_two_customers_are_merged_and_parted(shop: Shop, browser: Browser, number: int) -> None:
    with shop.writing() as book:
        one, other = (make_customer(book, "Mia Brandt", phone).id for phone in ("555-0181", "555-0182"))
        make_agreed_job(book, shop.clock(), customer=book.get_one(Customer, other))
        issue_invoice(Act(book, THE_PROGRAM, shop.clock()), number + 1)
    with shop.hand(browser, "Desk") as hand:
        hand.go(f"/customers/{one}")
        reach(hand, "twice")
        hand.tap(hand.page.get_by_label("Mia Brandt · 555-0182"))
        hand.press("Merge")
        hand.took_at_most(3)
        hand.says("Merged into this customer", f"Job {number + 1}")
        with shop.book() as book:
            assert [line.customer_id for line in list_owed(book)] == [one]
        hand.press("Separate again: Mia Brandt")
        hand.says("Separated.", f"Job {number + 1}")
        assert "Mia Brandt" in hand.reads("/money/invoices/4/pdf")
    with shop.book() as book:
        assert [line.customer_id for line in list_owed(book)] == [other]

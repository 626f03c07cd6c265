"""Money of a car: deposit, invoice, part payment, keys, credit note, refund; and the quick job beside it."""

import time
from datetime import timedelta

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Payment
from shopbook.models.shop import LogLine
from tests.journeys.hands import DESK, Shop
from tests.makers.billing import make_agreed_job

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """An agreed job of 803.00 before tax whose car is ready and told so."""
    at = shop.clock()
    with shop.writing() as book:
        return make_agreed_job(
            book,
            at,
            agreed_at=at - timedelta(days=3),
            ready_at=at - timedelta(hours=20),
            told_ready_at=at - timedelta(hours=19),
        ).number


def test_a_deposit_is_taken_before_the_invoice(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go(f"/jobs/{number}")
        hand.follow("Take deposit")
        hand.fill("Amount, $", "200")
        hand.pick("Cash")
        hand.press("Save deposit")
        hand.page.wait_for_load_state()
        hand.took_at_most(4)
    with shop.book() as book:
        (deposit,) = book.scalars(select(Payment)).all()
        assert (deposit.amount_minor, deposit.means, deposit.number) == (20000, "cash", 1)


def test_the_first_invoice_asks_its_questions_once_and_stays_as_it_is(
    shop: Shop, browser: Browser, number: int
) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.follow("Write invoice")
        hand.says("Before your first invoice")
        hand.begin_count()
        hand.fill("Last invoice number used so far", "2317")
        hand.fill("Your tax number", "00-1234567")
        hand.press("Issue invoice")
        hand.arrives(r"/money/invoices/\d+$")
        hand.took_at_most(4)
        hand.says("Invoice 2318")
        words = hand.reads(f"{hand.path}/pdf")
    with shop.book() as book:
        (invoice,) = book.scalars(select(Invoice)).all()
        assert (invoice.number, invoice.net_minor) == (2318, 80300)
        whole = f"{invoice.gross_minor // 100}.{invoice.gross_minor % 100:02}"
    for each in ("Invoice 2318", "00-1234567", "803.00", whole, "200.00", "Ines Okafor", "KTR 204"):
        assert each in words, each


def test_the_keys_stay_while_money_is_owed_unless_somebody_lets_the_car_go(
    shop: Shop, browser: Browser, number: int
) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go(f"/jobs/{number}")
        hand.tap(hand.page.get_by_role("link", name="Take payment").first)
        owed = float(hand.page.get_by_label("Amount, $").input_value())
        hand.fill("Amount, $", "300")
        hand.press("Save payment")
        hand.page.wait_for_load_state()
        left = f"${owed - 300:,.2f}"
        hand.go(f"/jobs/{number}")
        hand.unfold("Money")
        hand.press("Hand over")
        hand.says("to pay", left)
        with shop.book() as book:
            assert book.scalars(select(Job.handed_over_at).where(Job.number == number)).one() is None
        hand.unfold("Money")
        hand.follow("Release unpaid")
        hand.says(left)
        hand.press("Release unpaid")
        hand.says("Enter a reason.")
        hand.fill("Reason", "Pays on Friday, known for years")
        hand.press("Release unpaid")
        hand.arrives(r"/jobs/\d+$")
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        assert job.handed_over_at == shop.clock()
        assert job.settled_at is None
        assert "Pays on Friday" in " ".join(book.scalars(select(LogLine.words)))


def test_a_credit_note_and_a_refund_put_it_right_and_the_ledger_adds_up(
    shop: Shop, browser: Browser, number: int
) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.tap(hand.page.get_by_role("link", name="Take payment").first)
        hand.press("Save payment")
        hand.page.wait_for_load_state()
        hand.go("/money/invoices/1")
        hand.follow("Write credit note")
        hand.pick("an amount")
        hand.unfold("Amount")
        hand.fill("Amount with tax, $", "50")
        hand.fill("Reason", "Small run left in the clear")
        hand.press("Issue credit note")
        hand.arrives(r"/money/invoices/\d+$")
        hand.says("Credit note")
        hand.go("/money/")
        hand.says("Held for customers", "$50.00")
        hand.tap(hand.page.locator("#account").get_by_role("link", name="Open: receipt").first)
        hand.follow("Refund")
        hand.fill("Amount, $", "50")
        hand.fill("Reason", "Credited")
        hand.press("Save refund")
        hand.page.wait_for_load_state()
    with shop.book() as book:
        papers = book.scalars(select(Invoice)).all()
        payments = book.scalars(select(Payment)).all()
        billed = sum(paper.gross_minor for paper in papers)
        assert sum(payment.amount_minor for payment in payments) == billed
        assert min(payment.amount_minor for payment in payments) == -5000
        assert book.scalars(select(Job.settled_at).where(Job.number == number)).one() is not None


def test_a_quick_job_is_five_presses_to_a_numbered_paper(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk") as hand:
        hand.go("/money/")
        began = time.monotonic()
        hand.begin_count()
        hand.follow("Quick job")
        hand.fill("Customer", "555-0119")
        hand.fill("What was done", "Polished a scuff off the sill")
        hand.fill("Price with tax, $", "60")
        hand.pick("Cash")
        hand.press("Done and paid")
        hand.arrives(r"/money/invoices/\d+$")
        print(f"quick job: {hand.presses} presses, {time.monotonic() - began:.1f} s of machine")
        hand.took_at_most(6)
        hand.says("Invoice 2319", "$60.00")
    with shop.book() as book:
        invoice = book.scalars(select(Invoice).where(Invoice.number == 2319)).one()
        assert invoice.gross_minor == 6000
        assert sum(book.scalars(select(Payment.amount_minor).where(Payment.job_id == invoice.job_id))) == 6000

"""A check comes back, is paid again with another invoice in one transfer, and the owner reads who did what."""

from datetime import timedelta

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.queries.money.owed import list_owed
from shopbook.queries.reports.proofs import list_proofs
from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import DESK, Shop
from tests.journeys.mistakes import reach
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def numbers(shop: Shop) -> list[int]:
    """Two jobs of one dealer, both gone: the first paid by check, the second on account."""
    at = shop.clock()
    with shop.writing() as book:
        act, dealer = Act(book, THE_PROGRAM, at), make_customer(book, "Harbor Motors", kind="dealer")
        jobs = [make_agreed_job(book, at, customer=dealer, agreed_at=at - timedelta(days=3)) for _ in range(2)]
        gross = [issue_invoice(act, job.id).gross_minor for job in jobs]
        take_payment(act, job_id=jobs[0].id, amount_minor=gross[0], means="cheque")
        hand_over(act, jobs[0].id)
        let_go(act, jobs[1].id, "on account")
        return [job.number for job in jobs]


def test_a_check_comes_back_and_the_invoice_is_open_again(shop: Shop, browser: Browser, numbers: list[int]) -> None:
    shop.clock.on(60)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go("/money/")
        reach(hand, "cheque", receipt=1)
        kept = hand.fetch("/money/payments/1/pdf")
        hand.press("Reverse payment")
        hand.says("Enter what happened")
        hand.fill("Reason", "not enough funds")
        hand.press("Reverse payment")
        hand.arrives(rf"/jobs/{numbers[0]}$")
        hand.says("reversed, and is to pay again", "Still to pay")
        assert hand.fetch("/money/payments/1/pdf") == kept
        words = hand.reads("/money/payments/2/pdf")
    for each in ("Reversal 2", "Returned check: receipt 1", "not enough funds"):
        assert each in words, each
    with shop.book() as book:
        paid, back = book.scalars(select(Payment).order_by(Payment.id)).all()
        assert (back.kind, back.amount_minor, back.reverses_id) == ("returned_cheque", -paid.amount_minor, paid.id)
        assert book.scalars(select(Job.settled_at).where(Job.number == numbers[0])).one() is None
        owed = list_owed(book)
        assert [line.job_number for line in owed] == numbers
        assert owed[0].owed_minor == paid.amount_minor
        assert owed[0].due_on == owed[1].due_on == paid.on


def test_one_transfer_pays_both_invoices_as_it_was_shown(shop: Shop, browser: Browser, numbers: list[int]) -> None:
    with shop.book() as book:
        owed = [line.owed_minor for line in list_owed(book)]
    with shop.hand(browser, "Desk") as hand:
        hand.go("/money/")
        hand.follow("One payment for several invoices")
        hand.fill("Amount received, $", f"{(sum(owed) + 1000) / 100:.2f}")
        hand.press("Show the spread")
        hand.says("Where it goes", "$10.00 is left over")
        hand.press("Save payment")
        hand.arrives(r"/money/payments/3$")
        hand.says(f"job {numbers[0]}", f"job {numbers[1]}", "Unused credit", "$10.00")
    with shop.book() as book:
        assert list_owed(book) == []
        settled = book.scalars(select(Job.settled_at).order_by(Job.number)).all()
        assert [moment is not None for moment in settled] == [False, True], "the credit is the first job's"
        assert [fault for proof in list_proofs(book) for fault in proof.faults] == []


def test_the_owner_reads_who_took_it_back(shop: Shop, browser: Browser, numbers: list[int]) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        for page, fold in (("/today", ""), ("/months/2026-11", "Credits, refunds and write-offs, 1")):
            hand.go(page)
            if fold:
                hand.unfold(fold)
            hand.says("Desk", f"Payment reversed, returned check, receipt 2, job {numbers[0]}", "not enough funds")
        assert "Payment reversed, returned check" in hand.reads("/months/2026-11/month-end.pdf").replace("\n", " ")

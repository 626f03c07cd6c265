"""A quick job from the open quick estimate, counted in presses, in a shop of the United States and one of Britain."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import select

from shopbook.models.jobs import Stage, StageUse
from shopbook.models.money import Invoice, Payment
from shopbook.models.shelf import Material, Movement
from shopbook.services.act import Act
from shopbook.services.money.first_invoice import prepare_first_invoice
from shopbook.services.money.quick import quick_job
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import Hand, Shop, open_shop
from tests.makers.shelf import make_delivery, make_material

pytestmark = pytest.mark.browser

AT_MOST = 6
DOOR = "right_front_door"


def with_an_invoice_before(shop: Shop) -> None:
    """A shop at work: rates are confirmed, one invoice was written, and clear stands on the shelf."""
    with shop.writing() as session:
        act = Act(session, THE_PROGRAM, shop.clock())
        prepare_first_invoice(act, last_number=None, tax_number="00-0000000", address="14 Quarry Lane")
        quick_job(act, who="Ann Weber", what="Polished a scratch", price_minor=5000, means="card")
        make_delivery(session, make_material(session, role="clear"), packs=3)


def done_and_paid(hand: Hand, *, who: str, address: str) -> None:
    """One door, paid in cash, as a thumb does it."""
    hand.go("/jobs/kerb")
    hand.begin_count()
    hand.tap(f'a[data-panel="{DOOR}"]')
    expect(hand.page.locator(f'[data-card="{DOOR}"]')).to_be_visible()
    hand.fill("Name or phone", who)
    expect(hand.page.locator("form[data-kerb]")).not_to_have_attribute("aria-busy", "true")
    hand.press("Quick job")
    hand.pick("Cash", inside=hand.page.locator("#kerb-paid"))
    if address:
        hand.fill("Customer’s address", address)
    hand.press("Done and paid")
    hand.arrives(r"/money/invoices/\d+$")
    hand.took_at_most(AT_MOST)


@pytest.mark.parametrize(("country", "address"), [("us", ""), ("gb", "3 Mill Lane")])
def test_from_the_open_quick_estimate_to_paid_and_gone_in_few_presses(
    tmp_path: Path, empty_book_file: Path, browser: Browser, country: str, address: str
) -> None:
    shutil.copyfile(empty_book_file, tmp_path / "book.sqlite3")
    with open_shop(tmp_path, country) as shop:
        with_an_invoice_before(shop)
        with shop.hand(browser, "Desk") as hand:
            done_and_paid(hand, who="Mia Sand", address=address)
            hand.says("Invoice 2 issued", "Paid")
            paper = hand.reads(f"{hand.path}/pdf")
        with shop.book() as book:
            invoice = book.scalars(select(Invoice).order_by(Invoice.id.desc())).first()
            assert invoice is not None
            payment = book.scalars(select(Payment).where(Payment.job_id == invoice.job_id)).one()
            assert (payment.amount_minor, payment.means) == (invoice.gross_minor, "cash")
            assert f"{invoice.gross_minor / 100:,.2f}" in paper
            wanted = select(StageUse.amount_thousandths).join(Stage).where(Stage.job_id == invoice.job_id)
            clear = sum(book.scalars(wanted.where(StageUse.role == "clear")))
            drawn = select(Movement.quantity_thousandths).join(Material).where(Movement.job_id == invoice.job_id)
            drawn = drawn.where(Material.role == "clear")
            assert (-sum(book.scalars(drawn)), clear > 0) == (clear, True), "what the plan uses has left the shelf"

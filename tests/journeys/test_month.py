"""A month looked at, taken along on paper and as a table, closed, reopened, and then left in peace."""

import csv
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from sqlalchemy import func, select

from shopbook.models.money import MonthClose, Payment
from shopbook.models.shop import Paper
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import DESK, Shop
from tests.journeys.mistakes import reach
from tests.makers.billing import make_agreed_job

pytestmark = pytest.mark.browser

OCTOBER = datetime(2026, 10, 20, 14, 0, tzinfo=UTC)


@pytest.fixture(scope="module", autouse=True)
def october(shop: Shop) -> None:
    """A car that was done and invoiced in October and is not paid."""
    with shop.writing() as book:
        came, done = OCTOBER - timedelta(days=3), OCTOBER - timedelta(hours=2)
        job = make_agreed_job(book, OCTOBER, agreed_at=came, ready_at=done)
        issue_invoice(Act(book, THE_PROGRAM, OCTOBER), job.id)


def test_the_owner_looks_takes_paper_and_table_and_closes(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/today")
        hand.begin_count()
        hand.follow("Month end")
        hand.arrives("/months/2026-10")
        hand.says("October 2026", "$803.00", "Before you close", "Stock, at cost")
        words = hand.reads("/months/2026-10/month-end.pdf")
        for each in ("October 2026", "803.00", "23.16"):
            assert each in words, each
        with hand.page.expect_download() as fetched:
            hand.unfold("For the accountant")
            hand.follow("CSV of the month")
        hand.took_at_most(3)
        raw = Path(fetched.value.path()).read_bytes().decode("utf-8-sig")
        assert fetched.value.suggested_filename == "month-end-2026-10.csv"
        rows = list(csv.reader(io.StringIO(raw)))
        assert any("803.00" in row for row in rows), rows[:8]
        assert any("23.16" in row for row in rows)
        hand.begin_count()
        hand.press("Close October")
        hand.says("October 2026 is closed.")
        hand.took_at_most(1)
        assert hand.page.get_by_role("button", name="Close October").count() == 0
    with shop.book() as book:
        closing = book.scalars(select(MonthClose)).one()
        assert closing.through_on.isoformat() == "2026-10-31"
        assert book.scalars(select(Paper.file_name).where(Paper.kind == "month_end")).all() == ["month-end-2026-10.pdf"]


def test_nothing_is_dated_into_a_closed_month(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go("/money/jobs/1/pay")
        hand.unfold("Reference, day or one invoice")
        hand.fill("Date", "2026-10-30", exact=True)
        hand.press("Save payment")
        said = hand.page.get_by_role("alert").inner_text()
        assert "closed" in said.lower(), said
        assert hand.page.get_by_label("Date", exact=True).input_value() == "2026-10-30"
        with shop.book() as book:
            assert book.scalar(select(func.count()).select_from(Payment)) == 0
        hand.fill("Date", "2026-11-05", exact=True)
        hand.press("Save payment")
        hand.page.wait_for_load_state()
    with shop.book() as book:
        assert book.scalars(select(Payment.on)).one() == shop.clock().date()


def test_it_is_reopened_closed_again_and_its_return_filed(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/months/2026-10")
        reach(hand, "month")
        hand.fill("Reason", "A credit note was forgotten")
        hand.press("Reopen October 2026")
        hand.took_at_most(3)
        hand.says("October 2026 is open again.", "A credit note was forgotten")
        hand.press("Close October")
        hand.says("October 2026 is closed.", "Version 1", "Version 2")
        assert "October 2026" in hand.reads("/months/2026-10/closings/2.pdf")
        hand.press("Return filed")
        hand.says("Return filed on Nov 5.")
        assert hand.page.get_by_role("link", name="Reopen the month").count() == 0
    with shop.book() as book:
        rows = book.scalars(select(MonthClose).order_by(MonthClose.version)).all()
        assert [(row.version, row.numbers["net_minor"]) for row in rows] == [(1, 80_300), (2, 80_300)]


def test_the_desk_sees_no_month_end(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go("/months/2026-10")
        assert "Your role does not include this" in hand.page.locator("body").inner_text()

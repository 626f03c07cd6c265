"""The price shown is the price kept: forty random ways of tapping a price together, half of them without script."""

import random
import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Quote, QuoteGroup
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.kerb import work_out_kerb
from shopbook.queries.money.quotes import get_quote, sum_of_quote
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.billing import Bill
from shopbook.trade.planning.kerb import KerbAnswer
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from tests.journeys.hands import Hand, Shop

pytestmark = pytest.mark.browser

PANELS = ("left_front_door", "left_rear_door", "left_quarter", "left_front_wing", "bonnet", "right_rear_door", "roof")
PAINTS = ("paint", "paint", "blend", "no_paint")
SEED = 20261130


def plan_taps(dice: random.Random, *, with_scripts: bool) -> list[tuple[str, str, str]]:
    """Taps in order: (what, panel, value); two panels at least stay tapped at the end."""
    chosen = dice.sample(PANELS, dice.randint(2, 4))
    taps = [("panel", panel, "") for panel in chosen]
    for panel in dice.sample(chosen, len(chosen)):
        change = dice.choice(
            ("size", "paint", "count", "price", "none", "again", "reload")
            if with_scripts
            else ("size", "paint", "count", "price", "none", "again")
        )
        value = {"size": dice.choice("SML"), "paint": dice.choice(PAINTS), "count": str(dice.randint(1, 30))}
        typed = f"{dice.randint(90, 900)}.{dice.randint(0, 99):02d}"
        taps.append((change, panel, value.get(change, typed)))
    return taps


def amount(words: str) -> int:
    """What is written as money, in cents."""
    sign = -1 if "−" in words or "-" in words else 1
    return sign * int(re.sub(r"[^\d]", "", words))


class Fingers:
    """What one sequence does to the page, with script or by the plain form."""

    def __init__(self, hand: Hand, *, with_scripts: bool) -> None:
        self.hand, self.page, self.with_scripts = hand, hand.page, with_scripts

    def settle(self) -> None:
        if self.with_scripts:
            expect(self.page.locator("form[aria-busy]")).to_have_count(0)
        elif self.page.locator("[data-card]").count():
            self.page.get_by_role("button", name="Update the price").click()

    def do(self, what: str, panel: str, value: str) -> None:
        card = self.page.locator(f'[data-card="{panel}"]')
        if what in {"panel", "again"}:
            for _ in range(2 if what == "again" else 1):
                if self.with_scripts:
                    self.page.locator(f'a[data-panel="{panel}"]').first.dispatch_event("click")
                else:
                    self.page.goto(self.link(panel))
                self.settle()
        elif what in {"size", "paint"}:
            card.locator(f'label:has(input[name="{what}.{panel}"][value="{value}"])').click()
        elif what == "count":
            card.get_by_text("Several small dents").click()
            card.locator(f'[name="count.{panel}"]').fill(value)
            card.locator(f'[name="count.{panel}"]').blur()
        elif what == "price":
            card.locator("input[data-price]").fill(value)
            card.locator("input[data-price]").blur()
        elif what == "reload":
            self.page.reload()
        self.settle()

    def link(self, panel: str) -> str:
        address = self.page.locator(f'a[data-panel="{panel}"]').first.get_attribute("href") or ""
        return self.hand.url + address


def kept(bill: Bill) -> tuple[int, int]:
    """The sum as prices are typed, and with tax."""
    return bill.lines_minor, bill.gross_minor


def assert_one_sum(shop: Shop, hand: Hand, folder: Path, name: str) -> None:
    """Bar, cards, with-tax line, quote in the book, ready text and PDF agree; and again with each item declined."""
    page = hand.page
    bar = amount(page.inner_text("#kerb-sum"))
    cards = sum(amount(box.input_value()) for box in page.locator("input[data-price]").all())
    savings = sum(amount(each.inner_text()) for each in page.locator("[data-saving]").all())
    with_tax = amount(page.locator("#kerb-together .money b").last.inner_text())
    hand.fill("Name or phone", name)
    page.get_by_role("button", name="Save", exact=True).click()
    hand.arrives(r"/jobs/\d+$")
    with shop.book() as book:
        quote = book.scalars(select(Quote).order_by(Quote.id.desc())).first()
        assert quote is not None
        quote = get_quote(book, quote.id)
        whole = sum_of_quote(book, quote).taken
        assert (cards + savings, bar, with_tax) == (whole.lines_minor, *kept(whole)), name
        for group in quote.groups:
            others = [each for each in quote.groups if each.id != group.id]
            left = sum_of_quote(book, quote, [each.id for each in others]).taken
            worked = work_out_kerb(
                shop_at(book, shop.clock()), [_answer(book, quote, each.key) for each in others], _typed(others)
            )
            assert left.lines_minor == worked.price_minor, (name, group.key)
    hand.go(f"/money/quotes/{quote.id}/share")
    assert f"Total ${whole.gross_minor // 100:,}.{whole.gross_minor % 100:02d}" in page.content()
    file = folder / f"{name}.pdf"
    file.write_bytes(hand.fetch(f"/money/quotes/{quote.id}/pdf"))
    said = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    assert f"{whole.gross_minor // 100:,}.{whole.gross_minor % 100:02d}" in said
    for line in whole.savings:
        assert f"{abs(line.amount_minor) // 100:,}.{abs(line.amount_minor) % 100:02d}" in said


def _answer(book: Session, quote: Quote, panel: str) -> KerbAnswer:
    (hurt,) = (each for each in list_damages(book, quote.job_id) if each.panel == panel)
    return KerbAnswer(panel, SizeStep(hurt.size), PaintChoice(hurt.paint), hurt.dent_count, hurt.dent_class_mm)


def _typed(groups: list[QuoteGroup]) -> dict[str, int]:
    return {each.key: each.price_minor for each in groups if each.list_minor is None}


@pytest.mark.parametrize("with_scripts", [True, False], ids=["script", "no script"])
def test_twenty_ways_of_tapping_keep_the_price_that_was_shown(
    shop: Shop, browser: Browser, tmp_path: Path, with_scripts: bool
) -> None:
    """The seed is fixed; with script and without make forty sequences."""
    with shop.hand(browser, "Desk", with_scripts=with_scripts) as hand:
        for number in range(20):
            dice = random.Random(SEED + number + (0 if with_scripts else 100))
            fingers = Fingers(hand, with_scripts=with_scripts)
            hand.go("/jobs/kerb")
            for tap in plan_taps(dice, with_scripts=with_scripts):
                fingers.do(*tap)
            assert_one_sum(shop, hand, tmp_path, f"{'Tapped' if with_scripts else 'Sent'} {number}")

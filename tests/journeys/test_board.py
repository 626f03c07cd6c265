"""A car is moved on the board by drag, by arrow keys and by presses alike, its consequence shown before it is saved."""

from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, expect
from sqlalchemy import select

from shopbook.models.jobs import Job
from tests.journeys.hands import DESK, PHONE, Hand, Shop
from tests.makers.diary import FRIDAY, MONDAY, make_promised_job

pytestmark = pytest.mark.browser

BACK = date(2026, 11, 13)


@pytest.fixture
def number(shop: Shop) -> int:
    """A car that comes on Monday and is promised for Friday of that week."""
    with shop.writing() as book:
        return make_promised_job(book, comes=MONDAY, back=BACK, at=shop.clock()).number


def drop_off(shop: Shop, number: int) -> tuple[date | None, str]:
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        return job.drop_off_on, job.drop_off_half


def bar_of(hand: Hand, number: int) -> Locator:
    return hand.page.locator(f'.board a[data-lift][href$="/jobs/{number}/move"]').first


def is_lifted_to(hand: Hand, number: int, words: str) -> None:
    """The page of the lifted car says where it would be, what that does, and that nothing is saved."""
    hand.says(f"Diary: moving {number}", "If you save", "not saved yet", f"drop-off {words}")


def test_a_car_is_dragged_to_another_half_day_and_saved_by_one_press(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/diary/")
        bar = bar_of(hand, number)
        bar.scroll_into_view_if_needed()
        cell = bar.locator("xpath=ancestor::div[@data-place]").locator(
            f'i[data-on="{FRIDAY.isoformat()}"][data-half="afternoon"]'
        )
        begins, ends = bar.bounding_box(), cell.bounding_box()
        assert begins is not None
        assert ends is not None
        x, y = begins["x"] + 30, begins["y"] + 20
        hand.page.mouse.move(x, y)
        hand.page.mouse.down()
        hand.page.mouse.move(x + 12, y, steps=2)
        expect(bar).to_have_class("stay booked on lifted")
        hand.page.mouse.move(x + ends["x"] - begins["x"] + 6, y, steps=6)
        expect(cell).to_have_class("aim")
        hand.page.mouse.up()
        is_lifted_to(hand, number, "tomorrow afternoon")
        assert drop_off(shop, number) == (MONDAY, "morning"), "nothing is saved by a drag"
        hand.press(f"Save, {number} to tomorrow afternoon")
        hand.says(f"Saved. {number} comes tomorrow afternoon")
        assert drop_off(shop, number) == (FRIDAY, "afternoon")
        hand.press("Undo")
        hand.says("Undone")
        assert drop_off(shop, number) == (MONDAY, "morning")


def test_a_car_dropped_beside_the_board_stays_where_it_is(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/diary/")
        bar = bar_of(hand, number)
        bar.scroll_into_view_if_needed()
        box = bar.bounding_box()
        assert box is not None
        hand.page.mouse.move(box["x"] + 30, box["y"] + 20)
        hand.page.mouse.down()
        hand.page.mouse.move(box["x"] + 60, box["y"] - 30, steps=3)
        hand.page.mouse.move(5, 5, steps=3)
        hand.page.mouse.up()
        expect(bar).not_to_have_class("lifted")
        assert hand.path == "/diary/"


def test_a_car_is_moved_by_the_keyboard_alone(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/diary/")
        bar_of(hand, number).focus()
        hand.page.keyboard.press("ArrowLeft")
        is_lifted_to(hand, number, "tomorrow afternoon")
        expect(hand.page.locator(".stay.moved")).to_be_focused()
        hand.page.keyboard.press("ArrowLeft")
        is_lifted_to(hand, number, "tomorrow morning")
        hand.page.keyboard.press("Escape")
        expect(hand.page.locator("h1")).to_have_text("Diary")
        assert drop_off(shop, number) == (MONDAY, "morning")
        bar_of(hand, number).focus()
        hand.page.keyboard.press("ArrowRight")
        is_lifted_to(hand, number, "Monday afternoon")
        hand.page.keyboard.press("Enter")
        hand.says(f"Saved. {number} comes Monday afternoon")
        assert drop_off(shop, number) == (MONDAY, "afternoon")


def test_without_script_the_presses_do_it_on_a_phone(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Noor", size=PHONE, with_scripts=False) as hand:
        hand.go("/diary/")
        hand.follow("Mon 9")
        hand.follow(f"Move: {number}")
        hand.follow("Drop-off: half a day earlier")
        is_lifted_to(hand, number, "tomorrow afternoon")
        hand.follow("Place: next place")
        hand.press(f"Save, {number} to tomorrow afternoon")
        hand.says("Saved.")
        assert drop_off(shop, number) == (FRIDAY, "afternoon")


@pytest.mark.parametrize("width", [320, 390, 640, 1280])
def test_neither_page_has_a_barrier_or_scrolls_sideways(shop: Shop, browser: Browser, number: int, width: int) -> None:
    """640 px are a screen of 1280 at 200 %."""
    with shop.hand(browser, "Noor", size={"width": width, "height": 720}) as hand:
        for path in ("/diary/", f"/diary/jobs/{number}/move?step=earlier"):
            hand.go(path)
            sizes = hand.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
            assert sizes[0] <= sizes[1], path
            found = Axe().run(hand.page).response["violations"]
            assert [(each["id"], each["nodes"][0]["target"]) for each in found] == [], path

"""The frame on the demo: the search answers while somebody types, by keyboard alone too, and the bars leave room."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, expect

from tests.journeys.hands import DESK, PHONE, Hand, Shop

pytestmark = pytest.mark.browser

ENLARGED = {"width": 640, "height": 400}
"""A window of 1280 × 800 at 200 % zoom."""
NARROW = {"width": 320, "height": 640}


def field_of(hand: Hand) -> Locator:
    return hand.page.get_by_role("combobox", name="Find a job, car, person, invoice or key")


def options_of(hand: Hand) -> Locator:
    return hand.page.get_by_role("option")


def test_slash_letters_an_arrow_and_enter_lead_to_a_job_by_keyboard_alone(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/today")
        page, field = hand.page, field_of(hand)
        page.keyboard.press("/")
        expect(field).to_be_focused()
        page.keyboard.type("una shw")
        expect(options_of(hand).first).to_contain_text("Una Shaw")
        expect(page.get_by_text("Nothing spelled like that")).to_be_visible()
        expect(field).to_have_attribute("aria-expanded", "true")
        page.keyboard.press("ArrowDown")
        first = options_of(hand).first
        expect(first).to_have_attribute("aria-selected", "true")
        expect(field).to_have_attribute("aria-activedescendant", str(first.get_attribute("id")))
        assert Axe().run(page).response["violations"] == []
        page.keyboard.press("Enter")
        hand.arrives(r"/jobs/\d+$")
        expect(page.locator("main")).to_contain_text("Una Shaw")


def test_escape_shuts_the_list_and_keeps_what_was_typed_and_enter_alone_sends_it(
    recent_shop: Shop, browser: Browser
) -> None:
    with recent_shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/shelf/")
        field = field_of(hand)
        field.press_sequentially("wagon")
        expect(options_of(hand).first).to_be_visible()
        field.press("ArrowUp")
        expect(options_of(hand).last).to_have_attribute("aria-selected", "true")
        field.press("ArrowDown")
        expect(hand.page.locator('[role="option"][aria-selected="true"]')).to_have_count(0)
        field.press("Escape")
        expect(options_of(hand)).to_have_count(0)
        expect(field).to_have_value("wagon")
        expect(field).to_have_attribute("aria-expanded", "false")
        field.press("Enter")
        hand.arrives(r"/jobs/find\?q=wagon$")
        expect(field_of(hand)).to_have_value("wagon")


def test_a_slash_in_a_field_is_a_letter(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/jobs/book-in")
        who = hand.page.locator('main input[name="who"]')
        who.press_sequentially("A/B")
        expect(who).to_have_value("A/B")


def test_the_empty_field_offers_the_jobs_one_was_last_at_to_a_thumb(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, "Dana", size=PHONE) as hand:
        hand.go("/floor/")
        field_of(hand).click()
        expect(hand.page.get_by_text("Your last jobs")).to_be_visible()
        assert min(each["height"] for each in map(Locator.bounding_box, options_of(hand).all()) if each) >= 44
        options_of(hand).first.click()
        hand.arrives(r"/jobs/\d+$")


def test_without_script_the_form_is_sent(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, "Noor", size=DESK, with_scripts=False) as hand:
        hand.go("/today")
        field = hand.page.get_by_role("searchbox")
        field.fill("silver")
        field.press("Enter")
        hand.arrives(r"/jobs/find\?q=silver$")
        hand.says("found for “silver”")
        hand.unfold("New")
        hand.follow("Book in a car")
        hand.arrives("/jobs/book-in$")


@pytest.mark.parametrize("size", [PHONE, NARROW, ENLARGED], ids=["390", "320", "200 %"])
@pytest.mark.parametrize("who", ["Noor", "Dana"])
def test_the_bars_of_a_phone_are_wide_enough_for_a_thumb_and_leave_three_quarters(
    recent_shop: Shop, browser: Browser, who: str, size: dict[str, int]
) -> None:
    with recent_shop.hand(browser, who, size=size) as hand:
        hand.go("/jobs/")
        page = hand.page
        page.mouse.wheel(0, 600)
        targets = page.locator(
            ".spine nav > a:visible, .spine nav summary:visible, .reach input, .reach summary:visible"
        ).all()
        boxes = [box for each in targets if (box := each.bounding_box())]
        assert len(boxes) >= (9 if who == "Noor" else 4)
        assert min(min(box["width"], box["height"]) for box in boxes) >= 44
        covered = page.evaluate(
            """[...document.querySelectorAll('.spine nav, .reach')].filter(
                each => ['fixed', 'sticky'].includes(getComputedStyle(each).position)).reduce(
                (sum, each) => sum + each.getBoundingClientRect().height, 0)"""
        )
        assert covered <= size["height"] / 4
        page.locator(".more-places > summary").click()
        page.get_by_role("link", name=who).click()
        hand.arrives("/account$")


def test_what_is_printed_has_no_frame(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go("/jobs/")
        hand.page.emulate_media(media="print")
        for part in (".spine", ".reach"):
            expect(hand.page.locator(part)).to_be_hidden()

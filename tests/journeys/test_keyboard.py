"""The keyboard on every page of the owner: past the places in one press, then on to the page's main act."""

import pytest
from playwright.sync_api import Browser, Page

from tests.journeys.crawling import crawl_recent
from tests.journeys.hands import DESK, Shop

pytestmark = pytest.mark.browser

OWNER = "Noor"
FOCUS = "document.activeElement && document.activeElement !== document.body"
IN_MAIN = f"{FOCUS} && document.activeElement.closest('main') !== null"
MOST_TABS = 200
"""A count of the whole shelf has three fields a can before its one button."""


def test_the_keyboard_goes_past_the_places_to_the_main_act(
    recent_shop: Shop, browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> None:
    wrong, pages = [], crawl_recent(recent_shop.served.app, OWNER, tmp_path_factory.getbasetemp())
    with recent_shop.hand(browser, OWNER, size=DESK) as hand:
        page = hand.page
        for url in [found[0] for found in pages.values() if found]:
            hand.go(url)
            if page.locator("a.skip").count():
                page.keyboard.press("Tab")
                if not page.evaluate("document.activeElement.matches('a.skip')"):
                    # A form that was begun takes the focus into its first field by itself: nearer than any link.
                    wrong += [] if page.evaluate(IN_MAIN) else [f"{url}: the first stop is not the way to the page"]
                else:
                    page.keyboard.press("Enter")
                    page.keyboard.press("Tab")
                    wrong += [] if page.evaluate(IN_MAIN) else [f"{url}: the way to the page leads elsewhere"]
            wrong += reach(page, url)
    assert wrong == [], "\n".join(wrong)


def reach(page: Page, url: str) -> list[str]:
    """Tab to the page's main act, if it has one that can be seen."""
    act = page.locator("main .button:not(.quiet):not(.trouble):visible").first
    if not act.count():
        return []
    act.evaluate("it => it.setAttribute('data-main-act', '')")
    for _ in range(MOST_TABS):
        if page.evaluate("document.activeElement.hasAttribute('data-main-act')"):
            return []
        page.keyboard.press("Tab")
    return [f"{url}: {act.inner_text()!r} is not reached by {MOST_TABS} tabs"]

"""Every page a link leads to on a book of two months: no barrier, nothing refused by the policy, nothing cut off."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

import seed_demo
from shopbook.commands.demo.folder import ready_demo
from shopbook.config import read_config
from tests.journeys.crawling import crawl
from tests.journeys.hands import DESK, PHONE, Clock, Shop
from tests.servers import SHOP_HOST, serving

pytestmark = pytest.mark.browser

NOW = datetime(2026, 11, 25, 15, 40, tzinfo=UTC)
"""A Wednesday at 10:40 in the demo's shop."""
OWNER, AT_DESK, TECHNICIAN = "Noor", "Marit", "Dana"
Pages = dict[str, dict[str, list[str]]]
"""Addresses by person and endpoint."""
UNLINKED = {
    "shop.start": "the address is printed by the command",
    "shop.health": "for machines",
    "shop.sign_in": "for whoever is not signed in",
    "shop.who": "for a device of the floor",
    "shop.pin": "for a device of the floor",
    "jobs.by_id": "leads on from lines that know a job by its row",
    "money.edit_quote": "while a quote is a draft",
    "reports.tell": "while a car is ready and nobody told its owner",
    "reports.air": "in a shop that keeps a record of air and waste",
    "reports.air_csv": "in a shop that keeps a record of air and waste",
    "reports.air_now": "in a shop that keeps a record of air and waste",
    "reports.paper": "in a shop that keeps a record of air and waste",
    "reports.new_paper": "in a shop that keeps a record of air and waste",
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The demo with the cars of the last weeks, served with its clock standing."""
    told = [line for line in seed_demo.STORY.strip().splitlines() if int(line.partition("|")[0]) < 26]
    folder = tmp_path_factory.mktemp("pages") / "demo"
    built = ready_demo(folder, NOW, lambda *given: seed_demo.build(*given, story="\n".join(told)))
    config = read_config({"SHOPBOOK_DATA": str(built.data_folder), "SHOPBOOK_HOSTS": SHOP_HOST})
    clock = Clock(NOW)
    with serving(config, CLOCK=clock) as running:
        yield Shop(running, clock)


@pytest.fixture(scope="module")
def pages(shop: Shop) -> Pages:
    """The pages of each person, by endpoint."""
    return {who: crawl(shop.served.app, who) for who in (OWNER, AT_DESK, TECHNICIAN)}


def look(page: Page, url: str, *, with_axe: bool) -> list[str]:
    """What is wrong with the page as it stands on the screen."""
    width = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    wrong = [f"{url}: {width[0]} px wide on {width[1]}"] if width[0] > width[1] else []
    if with_axe:
        found = Axe().run(page).response["violations"]
        wrong += [f"{url}: {each['id']} at {each['nodes'][0]['target']}, {width[1]} px" for each in found]
    return wrong


def test_every_page_is_reached_by_a_link(shop: Shop, pages: Pages) -> None:
    reached = {endpoint for found in pages.values() for endpoint in found}
    rules = {rule.endpoint for rule in shop.served.app.url_map.iter_rules() if "GET" in (rule.methods or set())}
    orphans = rules - reached - set(UNLINKED) - {"static"}
    assert sorted(orphans) == [], sorted(orphans)


@pytest.mark.parametrize("who", [OWNER, AT_DESK, TECHNICIAN])
def test_no_page_has_a_barrier_breaks_the_policy_or_runs_over(
    shop: Shop, pages: Pages, browser: Browser, who: str
) -> None:
    wrong = []
    urls = [url for found in pages[who].values() for url in found]
    with shop.hand(browser, who, size=DESK if who == OWNER else PHONE) as hand:
        for url in urls:
            hand.go(url)
            wrong += look(hand.page, url, with_axe=True)
            if who == OWNER:
                hand.page.set_viewport_size(PHONE)  # type: ignore[arg-type]
                wrong += look(hand.page, url, with_axe=True)
                hand.page.set_viewport_size(DESK)  # type: ignore[arg-type]
    print(f"{who}: {len(urls)} pages")
    assert wrong == [], "\n".join(wrong)


FOCUS = "document.activeElement && document.activeElement !== document.body"
IN_MAIN = f"{FOCUS} && document.activeElement.closest('main') !== null"
MOST_TABS = 200
"""A count of the whole shelf has three fields a can before its one button."""


def test_the_keyboard_goes_past_the_places_to_the_main_act(shop: Shop, pages: Pages, browser: Browser) -> None:
    wrong = []
    with shop.hand(browser, OWNER, size=DESK) as hand:
        page = hand.page
        for url in [found[0] for found in pages[OWNER].values() if found]:
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

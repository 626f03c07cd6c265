"""Pages that stay short: how high they are on the demo at both widths, clean for a reader, and by keyboard alone."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from shopbook.config import read_config
from tests.clocks import Clock
from tests.journeys.demos import NOW, Built
from tests.journeys.hands import PHONE, Hand, Shop
from tests.journeys.test_demo_pages import addresses
from tests.servers import SHOP_HOST, serving

pytestmark = pytest.mark.browser

DESK = {"width": 1280, "height": 800}
LIST = "/settings/price-list"
HEIGHTS = {
    "/today": (1450, 2450),
    "/jobs/": (1350, 2700),
    "/jobs/63": (1450, 2650),
    "/jobs/64": (1450, 2650),
    "/jobs/66": (1450, 2650),
    "/jobs/56": (1450, 2650),
    "/jobs/58": (1450, 2650),
    "/jobs/54": (1450, 2650),
    "/jobs/72": (1450, 2650),
    "/shelf/": (1450, 2450),
    "/money/invoices": (1500, 2500),
    "/log": (1250, 2100),
    LIST: (1500, 2750),
    f"{LIST}?raises=5": (1500, 2750),
    f"{LIST}/second-panel": (1500, 2750),
    f"{LIST}/small-dents": (1500, 2750),
    f"{LIST}/chips": (1500, 2750),
    "/settings/standards": (1350, 2400),
    "/settings/standards/stage": (1350, 2400),
    "/settings/standards/stage/base_clear": (1350, 2400),
}
"""Pixels at most, at 1280 and at 390, folds as they open. Of jobs: 63, 64 and 66 in progress and late, 56 ready, 58
handed over, 54 settled, 72 without an answer."""
OF_ONE = {
    "shelf.count": (1300, 2200),
    "shelf.material": (1300, 2200),
    "shelf.deliver": (1300, 2200),
    "shelf.reorder": (1300, 2200),
    "shelf.orders": (1300, 2200),
    "shelf.order": (1300, 2200),
    "floor.mix": (1300, 2200),
    "floor.trouble": (950, 1500),
    "floor.trouble_found": (950, 1500),
    "jobs.new_damage": (950, 1500),
    "jobs.damage": (950, 1500),
    "jobs.check_in": (950, 1500),
    "money.payers": (950, 1500),
    "money.payments": (1500, 2500),
    "reports.month": (1850, 3500),
}
"""The same of pages of one job, stage, material or month: those that the walk of all pages opens."""


@pytest.fixture(scope="module")
def shown(demo: Built) -> Iterator[Shop]:
    """The demo that the journeys build, served with its clock standing."""
    config, clock = read_config({"SHOPBOOK_DATA": str(demo[0].data_folder), "SHOPBOOK_HOSTS": SHOP_HOST}), Clock(NOW)
    with serving(config, CLOCK=clock) as running:
        yield Shop(running, clock)


def heights_of(shown: Shop) -> dict[str, tuple[int, int]]:
    """Every address that is measured, and how high it may be."""
    with shown.book() as book:
        found = addresses(shown.served.app, book)
    by_endpoint = {rule.split()[0]: url for rule, url in found.items()}
    return HEIGHTS | {by_endpoint[endpoint]: most for endpoint, most in OF_ONE.items()}


def measured(hand: Hand) -> tuple[int, int]:
    """How high and how wide the page is."""
    high, wide = hand.page.evaluate("[document.documentElement.scrollHeight, document.documentElement.scrollWidth]")
    return int(high), int(wide)


@pytest.mark.parametrize("place", [0, 1], ids=["1280", "390"])
def test_the_pages_are_no_higher_than_they_may_be_and_clean_folded_and_unfolded(
    shown: Shop, browser: Browser, place: int
) -> None:
    too_high, faults = [], []
    with shown.hand(browser, "Noor", size=(DESK, PHONE)[place]) as hand:
        for url, most in heights_of(shown).items():
            hand.go(url)
            high, wide = measured(hand)
            if high > most[place] or wide > (DESK, PHONE)[place]["width"]:
                too_high.append((url, high, wide))
            for _ in range(2):
                found = Axe().run(hand.page).response["violations"]
                faults += [(url, each["id"], each["nodes"][0]["html"]) for each in found]
                hand.page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
    assert (too_high, faults) == ([], [])


def test_today_of_a_new_book_is_short_and_clean_and_its_steps_lead_on(shop: Shop, browser: Browser) -> None:
    for size, most in ((DESK, 1000), (PHONE, 1800)):
        with shop.hand(browser, "Noor", size=size) as hand:
            hand.go("/today")
            hand.says("Start with a real car", "First steps")
            high, wide = measured(hand)
            assert (high <= most, wide <= size["width"]) == (True, True), (high, wide)
            hand.unfold("How to start it")
            assert Axe().run(hand.page).response["violations"] == []
            hand.follow("Look at prices", exact=False)
            hand.arrives("/settings/price-list$")


def test_a_price_is_typed_and_saved_by_keyboard_alone_and_taken_back(shop: Shop, browser: Browser) -> None:
    with shop.hand(browser, "Noor", size=DESK) as hand:
        hand.go(LIST)
        page = hand.page
        page.get_by_label("Hood, medium").focus()
        page.keyboard.press("ControlOrMeta+a")
        page.keyboard.type("640")
        page.keyboard.press("Enter")
        hand.arrives(r"/settings/price-list\?way=paint$")
        assert page.get_by_label("Hood, medium").input_value() == "640.00"
        page.get_by_role("button", name="Undo").first.click()
        hand.go(LIST)
        assert page.get_by_label("Hood, medium").input_value() != "640.00"

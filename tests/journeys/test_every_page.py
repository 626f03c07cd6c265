"""Every page a link leads to on a book of two months: no barrier, nothing refused by the policy, nothing cut off."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.clients import ShopClient
from tests.journeys.crawling import crawl_recent, main_of
from tests.journeys.hands import DESK, PHONE, Shop

pytestmark = pytest.mark.browser

OWNER, AT_DESK, TECHNICIAN = "Noor", "Marit", "Dana"
Pages = dict[str, dict[str, list[str]]]
"""Addresses by person and endpoint."""
NARROW = {"width": 320, "height": 640}
"""The width at which WCAG 2.2 wants no scrolling in two directions (1.4.10)."""
UNLINKED = {
    "money.match": "only where an invoice is older than the keys of lines",
    "money.reverse_refund": "on the receipt of a refund, which a book of some weeks may lack",
    "money.spread": "while one payer owes on several invoices: test_payment_reversed walks there",
    "money.move_rest": "while one of several payers still owes something",
    "shop.start": "the address is printed by the command",
    "shop.first_taxes": "linked while a new book has no tax: test_first_run walks there",
    "shop.health": "for machines",
    "shop.sign_in": "for whoever is not signed in",
    "shop.who": "for a device of the floor",
    "shop.pin": "for a device of the floor",
    "customers.certificate": "while a customer has a certificate with a photo",
    "jobs.by_id": "leads on from lines that know a job by its row",
    "jobs.offer": "what the search asks while somebody types: test_find",
    "jobs.whose": "while a job has no car or nobody who brings it",
    "floor.cup": "on the page of a stage with a mix that is poured, while one can be worked",
    "floor.colour_card": "on the page of a car that a spray-out card was made for",
    "floor.spray": "on the page of a stage that is sprayed, while one can be worked",
    "money.edit_quote": "while a quote is a draft",
    "diary.later": "once a day that cannot be kept was set anew",
    "reports.tell": "while a car is ready and nobody told its owner",
    "reports.air": "in a shop that keeps a record of air and waste",
    "reports.air_csv": "in a shop that keeps a record of air and waste",
    "reports.air_now": "in a shop that keeps a record of air and waste",
    "reports.paper": "in a shop that keeps a record of air and waste",
    "reports.new_paper": "in a shop that keeps a record of air and waste",
}


@pytest.fixture(scope="module")
def pages(recent_shop: Shop, tmp_path_factory: pytest.TempPathFactory) -> Pages:
    """The pages of each person, by endpoint."""
    base = tmp_path_factory.getbasetemp()
    return {who: crawl_recent(recent_shop.served.app, who, base) for who in (OWNER, AT_DESK, TECHNICIAN)}


def look(page: Page, url: str, *, with_axe: bool) -> list[str]:
    """What is wrong with the page as it stands on the screen."""
    width = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    wrong = [f"{url}: {width[0]} px wide on {width[1]}"] if width[0] > width[1] else []
    if with_axe:
        found = Axe().run(page).response["violations"]
        wrong += [f"{url}: {each['id']} at {each['nodes'][0]['target']}, {width[1]} px" for each in found]
    return wrong


def is_another(shop: Shop, url: str, who: str) -> bool:
    """Whether a page that the owner has too shows this person something else beside the frame."""
    asked = [ShopClient(shop.served.app).signed_in_as(each).get(url) for each in (OWNER, who)]
    return len({(answer.status_code, main_of(answer.text)) for answer in asked}) > 1


def test_every_page_is_reached_by_a_link(recent_shop: Shop, pages: Pages) -> None:
    reached = {endpoint for found in pages.values() for endpoint in found}
    rules = {rule.endpoint for rule in recent_shop.served.app.url_map.iter_rules() if "GET" in (rule.methods or set())}
    orphans = rules - reached - set(UNLINKED) - {"static"}
    assert sorted(orphans) == [], sorted(orphans)


@pytest.mark.parametrize("who", [OWNER, AT_DESK, TECHNICIAN])
def test_no_page_has_a_barrier_breaks_the_policy_or_runs_over(
    recent_shop: Shop, pages: Pages, browser: Browser, who: str
) -> None:
    wrong = []
    urls = [url for found in pages[who].values() for url in found]
    if who != OWNER:
        # A page that is the owner's word for word is looked at as theirs, at each width that is looked at here.
        theirs = {url for found in pages[OWNER].values() for url in found}
        urls = [url for url in urls if url not in theirs or is_another(recent_shop, url, who)]
        assert len(urls) > 5
    with recent_shop.hand(browser, who, size=DESK if who == OWNER else PHONE) as hand:
        for url in urls:
            hand.go(url)
            wrong += look(hand.page, url, with_axe=True)
            if who == OWNER:
                hand.page.set_viewport_size(PHONE)  # type: ignore[arg-type]
                wrong += look(hand.page, url, with_axe=True)
            hand.page.set_viewport_size(NARROW)  # type: ignore[arg-type]
            wrong += look(hand.page, url, with_axe=False)
            hand.page.set_viewport_size(DESK if who == OWNER else PHONE)  # type: ignore[arg-type]
    print(f"{who}: {len(urls)} pages")
    assert wrong == [], "\n".join(wrong)


def test_a_table_whose_rows_turn_into_cards_is_still_read_out_as_a_table(recent_shop: Shop, browser: Browser) -> None:
    with recent_shop.hand(browser, OWNER, size=PHONE) as hand:
        hand.go("/people")
        page = hand.page
        assert page.locator("table.stack td").first.evaluate("cell => getComputedStyle(cell).display") != "table-cell"
        read = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
        roles = [node["role"]["value"] for node in read if not node.get("ignored")]
    assert min(roles.count(role) for role in ("row", "cell", "columnheader")) > 1
    assert "table" in roles

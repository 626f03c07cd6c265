"""The kerb price and the other pages in a real browser: tapped, without scripts, and looked over for barriers."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from sqlalchemy.orm import Session

from shopbook.config import Config
from shopbook.models.session import make_engine, transaction
from shopbook.trade.permissions import Role
from tests.clients import signed_in_cookie
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.insured import EXTRA, WORK, Insured
from tests.makers.jobs import make_planned_job
from tests.servers import Served, serving


@pytest.fixture
def shop(config: Config) -> Iterator[Served]:
    """A served shop with one owner and two jobs."""
    engine = make_engine(config.database_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER, Role.DESK)
        make_planned_job(opened, "right_quarter", is_agreed=True, at=NOON)
        make_planned_job(opened, "bonnet", "left_front_wing", at=NOON)
    engine.dispose()
    with serving(config, CLOCK=lambda: NOON) as running:
        yield running


def sign_in(page: Page, shop: Served) -> None:
    kept = signed_in_cookie(shop.app, shop.config.database_url, "Noor")
    page.context.add_cookies([{"name": "shopbook", "value": kept, "url": shop.url}])


def complaints(page: Page) -> list[str]:
    found: list[str] = []
    page.on("console", lambda said: found.append(said.text) if said.type in {"error", "warning"} else None)
    page.on("pageerror", lambda error: found.append(str(error)))
    return found


def test_two_panels_are_priced_on_a_phone_and_kept(shop: Served, browser: Browser, tmp_path: Path) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    page = context.new_page()
    heard = complaints(page)
    sign_in(page, shop)
    page.goto(f"{shop.url}/jobs/kerb")
    Image.new("RGB", (640, 480), "#2f5f9b").save(tmp_path / "door.jpg")
    page.set_input_files("input[type=file]", str(tmp_path / "door.jpg"))
    assert page.locator("[data-photos] img").count() == 1
    tiles = page.locator("[data-photos] label:visible input")
    assert [tile.get_attribute("capture") for tile in tiles.all()] == ["environment", None], "camera, then the library"
    Image.new("RGB", (480, 640), "#9b2f2f").save(tmp_path / "sent.jpg")
    tiles.nth(1).set_input_files(str(tmp_path / "sent.jpg"))
    assert page.locator("[data-photos] img").count() == 2
    page.locator('a[data-panel="right_front_door"]').tap()
    page.wait_for_selector('[data-card="right_front_door"]')
    page.locator('a[data-panel="right_rear_door"]').tap()
    page.wait_for_selector('[data-card="right_rear_door"]')
    listed = page.input_value("#price-right_rear_door")
    with page.expect_response(lambda answer: "paint.right_rear_door=no_paint" in answer.url):
        page.locator('[data-card="right_rear_door"] label:has(input[value="no_paint"])').tap()
    expect(page.locator("#price-right_rear_door")).not_to_have_value(listed)
    page.fill("#price-right_rear_door", "160")
    front = page.input_value("#price-right_front_door")
    expect(page.locator("form[aria-busy]")).to_have_count(0)
    assert page.inner_text("#kerb-sum") == f"${float(front) + 160:,.2f}"
    page.fill("#who", "555-0164")
    page.fill("#wrong", "Two door dings")
    with page.expect_navigation():
        page.get_by_role("button", name="Save", exact=True).tap()
    assert page.url.endswith("/jobs/3")
    assert page.locator(".photos img").count() == 2
    assert heard == []
    context.close()


def test_what_only_the_shop_may_see_is_shut_and_shuts_again_with_every_change(shop: Served, browser: Browser) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800})
    page = context.new_page()
    heard = complaints(page)
    sign_in(page, shop)
    page.goto(f"{shop.url}/jobs/kerb?panel=bonnet")
    fold, brings = page.locator("details[data-shop-only]"), page.get_by_text("This price brings")

    def look() -> str:
        """Opened once every answer that is under way has come: each one shuts it."""
        expect(page.locator("form[data-kerb]")).not_to_have_attribute("aria-busy", "true")
        fold.locator("summary").click()
        expect(brings).to_be_visible()
        return brings.inner_text()

    first = look()
    page.locator('a[data-panel="roof"]').click()
    page.wait_for_selector('[data-card="roof"]')
    expect(brings).not_to_be_visible()
    expect(brings).not_to_have_text(first)
    second = look()
    with page.expect_response(lambda answer: "size.roof=L" in answer.url):
        page.locator('[data-card="roof"] label:has(input[value="L"])').click()
    expect(brings).not_to_be_visible()
    expect(brings).not_to_have_text(second)
    look()
    page.fill("#price-roof", "777")
    page.locator("#price-roof").blur()
    expect(brings).not_to_be_visible()
    look()
    page.reload()
    expect(page.get_by_text("Shop only")).to_be_visible()
    expect(brings).not_to_be_visible()
    assert heard == []
    context.close()


def test_the_kerb_price_works_without_scripts(shop: Served, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    sign_in(page, shop)
    page.goto(f"{shop.url}/jobs/kerb")
    page.locator('a[data-panel="bonnet"]').click()
    assert page.locator('[data-card="bonnet"]').count() == 1
    page.locator('label:has([name="size.bonnet"][value="L"])').click()
    before = page.input_value("#price-bonnet")
    page.get_by_role("button", name="Update the price").click()
    assert page.input_value("#price-bonnet") != before
    page.fill("#who", "Mia")
    page.fill("#wrong", "A dent")
    page.get_by_role("button", name="Save", exact=True).click()
    assert page.url.endswith("/jobs/3")
    context.close()


PAGES = (
    "/jobs/",
    "/jobs/1",
    "/jobs/2",
    "/jobs/kerb?panel=bonnet&panel=other",
    "/jobs/book-in",
    "/jobs/1/check-in",
    "/jobs/1/days",
    "/jobs/1/change",
    "/jobs/1/call-off",
    "/jobs/1/damage/new",
    "/jobs/1/reading",
    "/jobs/1/plan",
    "/jobs/1/plan/2",
    "/jobs/1/plan/new",
    "/jobs/1/versions",
    "/jobs/1/parts/new",
    "/jobs/2/what-if?clear_coats=3",
    "/jobs/2/repair-or-replace",
)


@pytest.mark.parametrize("width", [1280, 390])
def test_no_page_has_a_barrier_or_runs_over_its_width(shop: Served, page: Page, width: int) -> None:
    heard = complaints(page)
    sign_in(page, shop)
    page.set_viewport_size({"width": width, "height": 900})
    for url in PAGES:
        page.goto(shop.url + url)
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert over <= 0, url
        found = Axe().run(page)
        assert found.violations_count == 0, (url, found.generate_report())
    assert heard == []


@pytest.mark.parametrize("width", [390, 1280])
def test_the_list_of_jobs_runs_over_for_no_names_of_payers(shop: Served, browser: Browser, width: int) -> None:
    engine = make_engine(shop.config.database_url)
    with Session(engine) as opened, transaction(opened):
        insured = Insured(opened, NOON)
        insured.work(WORK, EXTRA)
        insured.approves(131_495)
        insured.insurer.name = "Meadow and Millbrook Mutual Insurance of the Eastern Counties"
    engine.dispose()
    page = browser.new_page(viewport={"width": width, "height": 800})
    sign_in(page, shop)
    page.goto(f"{shop.url}/jobs/")
    expect(page.locator(".rows.jobs li", has_text="Eastern Counties $1,314.95")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.context.close()

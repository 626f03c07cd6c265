"""A painter's day on a phone: taken in hand by PIN, no script, gloved thumbs, a host name that is not loopback."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry
from shopbook.models.jobs import Stage
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Person
from shopbook.outside.passwords import hash_pin, hash_token
from shopbook.services.act import Act
from shopbook.services.shop.people import enrol_device
from shopbook.trade.permissions import THE_PROGRAM
from tests.clocks import Clock
from tests.makers import STARTED, make_book
from tests.makers.floor import THURSDAY, at, make_painter, make_use, make_work
from tests.servers import SHOP_HOST, Served

TOKEN = "a-token-of-the-bench-phone"
THUMB = 52
PAGES = (
    "",
    "stages/1",
    "stages/2",
    "stages/2/trouble",
    "stages/2/trouble/run/clear",
    "stages/2/mix",
    "stages/2/spray",
    "own",
    "spoken",
    "day",
    "card",
)


@pytest.fixture
def clock(served: Served) -> Clock:
    """A started shop with Dana, her PIN, the phone on the bench, and two stages to do."""
    engine = make_engine(served.config.database_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        dana = make_painter(session)
        session.get_one(Person, dana.person_id).pin_hash = hash_pin("2468", served.config.read_secret())
        enrol_device(Act(session, THE_PROGRAM, STARTED), token_hash=hash_token(TOKEN), name="bench phone")
        make_work(session, "Degrease, mask, tack")
        clear = make_work(session, "Clear the bonnet")
        make_use(session, clear, "clear", 320)
        make_use(session, clear, "clear_activator", 160)
    engine.dispose()
    turned = Clock(at("8:00"))
    served.app.config["CLOCK"] = turned
    return turned


def phone(browser: Browser, served: Served, *, with_scripts: bool) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=with_scripts)
    context.set_default_timeout(8_000)
    context.add_cookies([{"name": "shopbook_device", "value": TOKEN, "domain": SHOP_HOST, "path": "/"}])
    return context.new_page()


def height(found: Locator) -> float:
    """How high it is once the page has its stylesheet: a press does not wait for that."""
    found.page.wait_for_load_state("load")
    box = found.bounding_box()
    assert box is not None
    return box["height"]


@pytest.mark.browser
def test_a_painter_works_a_day_with_a_phone_and_no_script(browser: Browser, served: Served, clock: Clock) -> None:
    page = phone(browser, served, with_scripts=False)
    page.goto(f"{served.shop_url}/who?then=/floor/")
    page.get_by_role("link", name="That’s me: Dana").click()
    page.get_by_label("PIN").fill("2468")
    page.get_by_role("button", name="Continue").click()
    page.goto(f"{served.shop_url}/floor/")
    page.get_by_role("button", name="I’m here").click()

    start = page.get_by_role("button", name="Start: 1 Degrease, mask, tack")
    assert height(start) >= THUMB
    start.click()
    clock.on(30)
    page.get_by_role("link", name="All work").click()
    page.get_by_role("button", name="Done: 1 Degrease, mask, tack, as planned").click()

    clock.on(12)
    page.get_by_role("button", name="Start: 2 Clear the bonnet").click()
    assert "to 3" in page.get_by_role("table").inner_text()
    for name in ("Pause", "Done"):
        assert height(page.get_by_role("button", name=name)) >= THUMB
    assert height(page.get_by_role("link", name="Trouble")) >= THUMB
    clock.on(45)
    page.get_by_text("Not as planned?").click()
    page.get_by_label("Clear medium mixed").fill("450")
    page.get_by_role("button", name="Done").click()
    page.get_by_text("Done: Clear the bonnet.").wait_for()

    clock.on(60)
    page.get_by_role("link", name="My day").click()
    page.get_by_role("button", name="Accept all guesses").click()
    assert "to place" not in page.locator("ol.hours").inner_text()
    page.get_by_role("button", name="Going home").click()
    page.get_by_role("heading", name="Thursday, November 5, 2026").wait_for()
    page.context.close()
    assert_day_is_kept(served)


def assert_day_is_kept(served: Served) -> None:
    engine = make_engine(served.config.database_url)
    with Session(engine) as session:
        minutes = [entry.minutes for entry in session.scalars(select(ClockEntry).where(ClockEntry.on == THURSDAY))]
        assert sorted(minutes) == [12, 30, 45, 60]
        assert all(stage.finished_at is not None for stage in session.scalars(select(Stage)))
    engine.dispose()


@pytest.mark.browser
def test_the_pages_of_the_floor_have_no_violation_and_keep_the_policy(
    browser: Browser, served: Served, clock: Clock
) -> None:
    page = phone(browser, served, with_scripts=True)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.goto(f"{served.shop_url}/who/1")
    page.get_by_label("PIN").fill("2468")
    page.get_by_role("button", name="Continue").click()
    page.goto(f"{served.shop_url}/floor/")
    page.get_by_role("button", name="Start: 2 Clear the bonnet").click()
    clock.on(25)
    for path in PAGES:
        page.goto(f"{served.shop_url}/floor/{path}")
        found = Axe().run(page).response["violations"]
        assert [(path, each["id"]) for each in found] == [], path
    assert said == []
    page.goto(f"{served.shop_url}/floor/stages/2")
    page.get_by_text("Not as planned?").click()
    page.get_by_role("button", name="more clear medium", exact=True).click()
    assert page.get_by_label("Clear medium mixed").input_value() == "490"
    page.context.close()

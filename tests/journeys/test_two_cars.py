"""Two cars on one clock, on a phone on the bench: what a start on a second asks, and that a glove hits every press."""

from typing import Any

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, RunningShare
from shopbook.models.jobs import Job, Stage
from shopbook.models.session import make_engine, transaction
from tests.clocks import Clock
from tests.journeys.hands import Hand, Shop
from tests.makers import make_book
from tests.makers.floor import at, make_painter, make_use, make_wait, make_work
from tests.servers import Served

pytestmark = pytest.mark.browser

PRIME, BLOCK, CLEAR, POLISH = 1, 2, 3, 4
TOUCH, THUMB = 44, 52
PAGES = (
    "",
    "stages/1",
    "stages/2",
    "stages/3",
    "stages/3/mix",
    "stages/3/spray",
    "stages/3/trouble",
    "stages/3/trouble/run/clear",
    "jobs/2/colour",
    "jobs/2/colour/new",
    "own",
    "found",
    "spoken",
    "day",
)

SMALL = """([touch, thumb]) => {
  const wide = box => [Math.round(box.width), Math.round(box.height)];
  const targets = "a[href], button, summary, input:not([type=hidden]), select, textarea";
  document.querySelectorAll("main details").forEach(each => { each.open = true; });
  const found = [...document.querySelectorAll("main :is(" + targets + ")")];
  return found.filter(each => each.checkVisibility()).map(each => {
    const boxes = [each, ...(each.labels ?? [])].map(one => wide(one.getBoundingClientRect()));
    const is_main = each.matches(".big, .button:not(.quiet, .trouble)");
    const high = Math.max(...boxes.map(box => box[1])), broad = Math.max(...boxes.map(box => box[0]));
    const name = each.innerText?.trim() || each.getAttribute("aria-label") || each.name;
    return high < (is_main ? thumb : touch) || broad < touch ? `${name}: ${broad} × ${high}` : "";
  }).filter(Boolean);
}"""
"""Every target of a page, all its folds open, that is smaller than a thumb needs: the words of a box count with it."""


@pytest.fixture
def shop(served: Served) -> Shop:
    """A started shop: a primed car that has dried since the morning, and two more with a stage for Dana each."""
    engine = make_engine(served.config.database_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        make_painter(session)
        prime = make_work(session, "Prime the door")
        prime.begun_at, prime.finished_at = at("6:00"), at("7:00")
        make_wait(session, prime, 60)
        make_work(session, "Block the door", job=session.get_one(Job, prime.job_id), after_stage_id=prime.id)
        clear = make_work(session, "Clear the hood")
        make_use(session, clear, "clear", 320)
        make_use(session, clear, "clear_activator", 160)
        make_work(session, "Polish the fender")
    engine.dispose()
    served.app.config["CLOCK"] = clock = Clock(at("8:00"))
    return Shop(served, clock)


def start_two(shop: Shop, hand: Hand) -> None:
    """Clear from 8:00, and the polish with it from 8:20."""
    hand.go("/floor/")
    hand.press("Start: 2 Clear the hood")
    hand.arrives("/floor/stages/3")
    shop.clock.on(20)
    hand.go("/floor/")
    hand.press("Start: 3 Polish the fender")
    hand.says("Your clock is running on 2 Clear the hood.")
    hand.press("Work on both: 3 Polish the fender")
    hand.arrives("/floor/stages/4")


def clocked(shop: Shop) -> list[int]:
    with shop.book() as book:
        return sorted(book.scalars(select(RunningShare.stage_id)))


def test_a_start_on_a_second_car_asks_once_in_place_and_both_go_on_after_a_pause(browser: Browser, shop: Shop) -> None:
    """Clear alone 8:00 to 8:20, both to 9:00, a pause of 10 minutes, both from 9:10; a switch at 9:40 to Block."""
    with shop.hand(browser, "Dana") as hand:
        start_two(shop, hand)
        assert clocked(shop) == [CLEAR, POLISH]
        hand.says("On the same clock as 2 Clear the hood")
        shop.clock.on(40)
        hand.press("Pause")
        hand.arrives("/floor/$")
        assert clocked(shop) == []
        shop.clock.on(10)
        hand.press("Go on with both")
        expect(hand.page.get_by_role("button", name="Go on with both")).to_have_count(0)
        hand.go("/floor/")
        hand.says("Running · 0:00")
        assert clocked(shop) == [CLEAR, POLISH]
        shop.clock.on(30)
        hand.press("Start: 1 Block the door")
        hand.says("Your clock is running on 2 Clear the hood and 3 Polish the fender.", "Work on all 3")
        assert clocked(shop) == [CLEAR, POLISH]
        hand.press("Switch: 1 Block the door")
        hand.arrives("/floor/stages/2")
        assert clocked(shop) == [BLOCK]
    with shop.book() as book:
        assert [each.minutes for each in book.scalars(select(ClockEntry).order_by(ClockEntry.id))] == [20, 40, 30]
        assert book.get_one(Stage, CLEAR).finished_at is None


def test_a_glove_hits_every_press_of_the_floor(browser: Browser, shop: Shop) -> None:
    """44 px high and wide, or its words with it; a page's main press 52 high: with two cars running, and paused."""
    with shop.hand(browser, "Dana") as hand:
        start_two(shop, hand)
        found: dict[str, Any] = {}
        for path in PAGES:
            hand.go(f"/floor/{path}")
            found[path] = hand.page.evaluate(SMALL, [TOUCH, THUMB])
        hand.go("/floor/stages/4")
        hand.press("Pause")
        hand.arrives("/floor/$")
        found["paused"] = hand.page.evaluate(SMALL, [TOUCH, THUMB])
        assert {path: small for path, small in found.items() if small} == {}

"""Two days of a technician with the bench's phone at the shop's name on plain http: clocks, mixes, waits, trouble."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import func, select

from shopbook.models.floor import Attendance, ClockEntry, ClockShare, Mix, Trouble
from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import Device
from shopbook.services.act import Act
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import PASSWORD, PHONE, PIN, Hand, Shop, listen
from tests.makers import STARTED
from tests.makers.floor import at
from tests.makers.jobs import make_planned_job

pytestmark = pytest.mark.browser

BODY, PAINT = 1, 2
"""Numbers of the job whose metal is worked and of the one that is ready for primer."""
DELIVERED = 5_000_000
STOCKED = ("filler", "filler_hardener", "epoxy", "epoxy_activator", "surfacer", "clear", "clear_activator")


@pytest.fixture(scope="module", autouse=True)
def work(shop: Shop) -> None:
    """Two agreed cars in the shop, one of them levelled and filled already; the shelf is stocked."""
    with shop.writing() as book:
        for panel in ("right_front_door", "bonnet"):
            make_planned_job(book, panel, is_agreed=True, at=STARTED).came_at = at("7:50")
        second = book.scalars(select(Job.id).where(Job.number == PAINT)).one()
        prime = book.scalars(select(Stage.position).where(Stage.job_id == second, Stage.code == "prime")).one()
        for stage in book.scalars(select(Stage).where(Stage.job_id == second, Stage.position < prime)):
            stage.begun_at = stage.finished_at = STARTED
        known = book.scalars(select(Material).where(Material.role.in_(STOCKED))).all()
        came = [Came(each.id, 20_000, quantity_thousandths=DELIVERED) for each in known]
        take_in_delivery(Act(book, THE_PROGRAM, STARTED), supplier_id=None, lines=came)


@pytest.fixture(scope="module")
def hand(shop: Shop, browser: Browser) -> Iterator[Hand]:
    """The phone on the bench: one browser through both days."""
    context = browser.new_context(viewport=PHONE, has_touch=True)  # type: ignore[arg-type]
    context.set_default_timeout(8_000)
    phone = Hand(context.new_page(), shop.served.shop_url)
    listen(phone.page, phone.heard)
    yield phone
    context.close()
    assert phone.heard == []


def stage(shop: Shop, number: int, code: str) -> Stage:
    with shop.book() as book:
        asked = select(Stage).join(Job).where(Job.number == number, Stage.code == code, Stage.purpose == "plan")
        return book.scalars(asked).one()


def set_clock(shop: Shop, clock: str) -> None:
    shop.clock.moment = at(clock)


def start(hand: Hand, found: Stage, number: int, word: str = "Start") -> None:
    """Press a stage of the list; of another skill it is folded away."""
    hand.go("/floor/")
    button = hand.page.get_by_role("button", name=f"{word}: {number} {found.name}", exact=True)
    for fold in hand.page.locator("details:not([open], [data-shuts]) > summary").all():
        if not button.is_visible():
            hand.tap(fold)
    hand.tap(button)


def test_the_phone_is_taken_in_hand_with_a_name_and_a_pin(shop: Shop, hand: Hand) -> None:
    set_clock(shop, "8:00")
    hand.go("/devices")
    hand.fill("Name", "Noor")
    hand.fill("Password", PASSWORD)
    hand.press("Sign in")
    hand.page.locator("#name").fill("bench phone")
    hand.press("Stay signed in")
    hand.says("bench phone")
    cookies = {cookie["name"]: cookie for cookie in hand.page.context.cookies()}
    assert cookies["shopbook_device"]["secure"] is False
    hand.go("/who")
    hand.begin_count()
    hand.follow("That’s me: Dana")
    hand.fill("PIN", "1111")
    hand.press("Continue")
    hand.says("That is not right")
    hand.fill("PIN", PIN)
    hand.press("Continue")
    hand.arrives("/floor/")
    hand.took_at_most(5)
    hand.go("/today")
    assert "Your role does not include this" in hand.page.locator("body").inner_text()
    hand.go("/floor/")
    hand.press("I’m here")
    hand.says("here since 8:00")
    with shop.book() as book:
        assert book.scalars(select(Device.name)).all() == ["bench phone"]
        assert book.scalars(select(Attendance)).one().came_at == at("8:00")


def test_a_stage_is_started_joined_by_another_paused_and_cut_at_lunch(shop: Shop, hand: Hand) -> None:
    check_in, trim = stage(shop, BODY, "check_in"), stage(shop, BODY, "trim_off")
    prime = stage(shop, PAINT, "prime")
    set_clock(shop, "8:12")
    start(hand, check_in, BODY)
    set_clock(shop, "8:40")
    hand.go("/floor/")
    hand.begin_count()
    hand.press(f"Done: {BODY} {check_in.name}, as planned")
    hand.took_at_most(1)
    set_clock(shop, "9:00")
    start(hand, trim, BODY)
    set_clock(shop, "9:30")
    hand.go(f"/floor/stages/{prime.id}")
    hand.begin_count()
    hand.unfold("Start")
    hand.press("Work on both", exact=False)
    hand.took_at_most(2)
    set_clock(shop, "10:00")
    hand.go(f"/floor/stages/{prime.id}")
    hand.says("On the same clock as", trim.name)
    hand.begin_count()
    hand.press("Pause")
    hand.took_at_most(1)
    set_clock(shop, "10:15")
    start(hand, prime, PAINT, "Continue")
    set_clock(shop, "11:30")
    hand.go("/floor/")
    hand.press(f"Done: {PAINT} {prime.name}, as planned")
    hand.says("Done as planned")
    set_clock(shop, "11:40")
    start(hand, trim, BODY, "Continue")
    set_clock(shop, "14:00")
    start(hand, trim, BODY, "Continue")
    with shop.book() as book:
        kept = book.scalars(select(ClockEntry).order_by(ClockEntry.started_at)).all()
        spans = [(entry.started_at, entry.stopped_at) for entry in kept]
        assert spans == [
            (at("8:12"), at("8:40")),
            (at("9:00"), at("9:30")),
            (at("9:30"), at("10:00")),
            (at("10:15"), at("11:30")),
            (at("11:40"), at("12:00")),
        ]
        both = book.scalars(select(ClockShare).where(ClockShare.entry_id == kept[2].id)).all()
        assert {share.stage_id for share in both} == {trim.id, prime.id}
        assert sum(share.minutes for share in both) == 30
        # Split by planned hours: the share is longer where more was planned.
        longer = max(both, key=lambda share: share.minutes)
        assert longer.stage_id == max((trim, prime), key=lambda each: each.planned_minutes).id


def test_done_as_planned_keeps_the_mix_as_assumed_and_takes_it_off_the_shelf(shop: Shop) -> None:
    prime = stage(shop, PAINT, "prime")
    with shop.book() as book:
        mixes = book.scalars(select(Mix)).all()
        assert {mix.is_assumed for mix in mixes} == {True}
        assert sum(mix.left_thousandths for mix in mixes) == 0
        drawn = select(func.sum(Movement.quantity_thousandths)).where(Movement.quantity_thousandths < 0)
        for role in ("epoxy", "surfacer"):
            known = book.scalars(select(Material).where(Material.role == role)).one()
            gone = -(book.scalar(drawn.where(Movement.material_id == known.id)) or 0)
            assert gone > 0
            assert known.on_hand_thousandths == DELIVERED - gone
        assert book.get_one(Stage, prime.id).finished_at == at("11:30")


def test_a_wait_holds_the_next_stage_until_its_time(shop: Shop, hand: Hand) -> None:
    block = stage(shop, PAINT, "block")
    hand.go("/floor/")
    begin = hand.page.locator(f'button[aria-label="Start: {PAINT} {block.name}"]')
    expect(begin).to_have_count(0)
    held = hand.page.locator("ul.work li", has_text=block.name)
    assert "from 2:30 pm" in held.inner_text()
    shop.clock.moment = datetime(2026, 11, 6, 13, 0, tzinfo=UTC)
    hand.go("/floor/")
    expect(begin).to_have_count(1)


def test_yesterdays_five_holes_are_put_right_in_six_presses(shop: Shop, hand: Hand) -> None:
    hand.go("/floor/")
    hand.press("I’m here")
    hand.follow("My day")
    hand.begin_count()
    hand.follow("Previous day")
    holes = hand.page.locator("ol.hours li").filter(has=hand.page.get_by_role("link", name="Something else"))
    assert holes.count() == 5, hand.page.locator("main").inner_text()
    for left in range(4, -1, -1):
        hand.tap(holes.first.get_by_role("button").first)
        expect(holes).to_have_count(left)
    hand.took_at_most(6)
    hand.says("To place 0.0")
    with shop.book() as book:
        asked = select(func.sum(ClockEntry.minutes)).where(ClockEntry.on == at("8:00").date())
        # Here from eight to closing at five, lunch taken off: nothing is left, nothing is counted twice.
        assert book.scalar(asked) == 8 * 60 + 30


def test_a_mix_that_came_out_otherwise_is_typed_and_trouble_adds_its_rework(shop: Shop, hand: Hand) -> None:
    spray = stage(shop, PAINT, "base_clear")
    for code in ("block", "clear_prep", "colour", "mask"):
        shop.clock.on(20)
        hand.go(f"/floor/stages/{stage(shop, PAINT, code).id}")
        hand.press("Done, all as planned")
        hand.page.wait_for_load_state()
    hand.go(f"/floor/stages/{spray.id}")
    hand.begin_count()
    hand.press("Start")
    hand.page.wait_for_load_state()
    hand.go(f"/floor/stages/{spray.id}")
    hand.says("Hazards", "data sheet")
    shop.clock.on(95)
    hand.unfold("Not as planned?")
    hand.fill("Clear coat mixed", "450")
    hand.fill("Clear coat left in the cup", "30")
    hand.press("Done all as planned", exact=False)
    hand.page.wait_for_load_state()
    hand.took_at_most(5)
    with shop.book() as book:
        clear = book.scalars(select(Mix).where(Mix.total_thousandths == 450_000)).one()
        assert (clear.is_assumed, clear.left_thousandths) == (False, 30_000)
    hand.go(f"/floor/stages/{spray.id}")
    hand.begin_count()
    hand.follow("Trouble")
    hand.tap('a.button[href$="/trouble/run/clear"]')
    hand.tap(hand.page.get_by_role("radio").first)
    hand.fill("Where on the panel and how bad", "Left lower corner, a hand wide")
    hand.press("Save")
    hand.arrives("/floor/")
    hand.took_at_most(5)
    hand.says("Added to the plan")
    with shop.book() as book:
        trouble = book.scalars(select(Trouble)).one()
        assert trouble.note == "Left lower corner, a hand wide"
        added = book.scalars(select(Stage).where(Stage.purpose == "rework")).all()
        assert added
        assert {each.job_id for each in added} == {spray.job_id}


def test_the_shelf_is_worth_what_came_less_what_went_into_cars(shop: Shop) -> None:
    with shop.book() as book:
        for known in book.scalars(select(Material).where(Material.role.in_(STOCKED))):
            moved = book.execute(
                select(func.sum(Movement.quantity_thousandths), func.sum(Movement.value_minor)).where(
                    Movement.material_id == known.id
                )
            ).one()
            assert (known.on_hand_thousandths, known.value_minor) == tuple(moved), known.name

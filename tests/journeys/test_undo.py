"""A way back from a wrong press: Undo at the desk and on the floor, and what was removed restored a day later."""

import os

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import func, select

from shopbook.models.floor import ClockShare, RunningClock
from shopbook.models.jobs import Damage, Job, Stage
from shopbook.models.shelf import Material
from shopbook.models.shop import LogLine
from shopbook.queries.floor.mixes import list_mixes
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.reports.proofs import list_proofs
from tests.journeys.hands import DESK, PHONE, Hand, Shop
from tests.makers.floor import make_use, make_work
from tests.makers.jobs import make_planned_job
from tests.makers.shelf import make_delivery, make_material

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """A job with a dent in the door and a scuffed bumper, its plan drafted."""
    with shop.writing() as book:
        return make_planned_job(book, "right_front_door", "rear_bumper", at=shop.clock()).number


def hours(shop: Shop, number: int) -> int:
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        return sum(stage.planned_minutes for stage in list_stages(book, job.id))


def look(hand: Hand, name: str) -> None:
    """Keep a picture of the page where somebody asked for one."""
    if folder := os.environ.get("WAY_BACK_PICTURES"):
        hand.page.screenshot(path=f"{folder}/{name}.png")


def answers(hand: Hand, words: str) -> None:
    """The answer line of the page says so."""
    expect(hand.page.get_by_role("status").first).to_contain_text(words)


def remove_second_damage(hand: Hand, number: int) -> None:
    hand.go(f"/jobs/{number}")
    hand.begin_count()
    hand.press("Remove: damage 2")
    answers(hand, "Removed. The plan is updated.")


def test_a_damage_removed_by_mistake_is_back_by_one_press(shop: Shop, browser: Browser, number: int) -> None:
    whole = hours(shop, number)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        remove_second_damage(hand, number)
        assert hours(shop, number) < whole
        look(hand, "desk_removed")
        hand.press("Undo")
        answers(hand, "Undone.")
        hand.took_at_most(2)
        hand.unfold("Log")
        hand.says("Undone: Removed damage 2")
        expect(hand.page.get_by_role("button", name="Undo", exact=True)).to_have_count(0)
        look(hand, "desk_undone")
    assert hours(shop, number) == whole
    with shop.book() as book:
        assert book.scalars(select(Damage.struck_at).where(Damage.number == 2)).all() == [None]


def test_a_day_later_it_stands_under_removed_with_what_it_brings(shop: Shop, browser: Browser, number: int) -> None:
    whole = hours(shop, number)
    with shop.hand(browser, "Desk", size=PHONE) as hand:
        remove_second_damage(hand, number)
        look(hand, "phone_removed")
        shop.clock.on(24 * 60)
        hand.press("Undo")
        answers(hand, "Undo is offered for ten minutes.")
        less = whole - hours(shop, number)
        hand.go(f"/jobs/{number}")
        hand.begin_count()
        hand.unfold("More about this job")
        hand.follow("Removed items")
        hand.says(f"+{less / 60:.1f} h")
        look(hand, "phone_list")
        hand.press("Restore: damage 2")
        hand.arrives(rf"/jobs/{number}$")
        hand.took_at_most(3)
    assert hours(shop, number) == whole


def test_a_stage_done_by_a_slip_of_the_thumb_is_in_hand_again(shop: Shop, browser: Browser) -> None:
    with shop.writing() as book:
        clear = make_material(book)
        make_delivery(book, clear, 2)
        stage = make_work(book, "Clear the bonnet")
        make_use(book, stage, "clear", 100)
        stage_id, clear_id = stage.id, clear.id
    with shop.hand(browser, "Dana", with_scripts=False) as hand:
        hand.go(f"/floor/stages/{stage_id}")
        hand.press("Start")
        look(hand, "floor_started")
        shop.clock.on(30)
        hand.go(f"/floor/stages/{stage_id}")
        hand.begin_count()
        hand.tap(hand.page.get_by_role("button", name="Done").first)
        look(hand, "floor_done")
        hand.press("Undo")
        answers(hand, "Undone.")
        hand.took_at_most(2)
        look(hand, "floor_undone")
    with shop.book() as book:
        minutes, cost = book.execute(select(func.sum(ClockShare.minutes), func.sum(ClockShare.cost_minor))).one()
        material = book.get_one(Material, clear_id)
        assert (minutes, cost) == (0, 0)
        assert (material.on_hand_thousandths, material.value_minor) == (2_000_000, 8000)
        assert (book.get_one(Stage, stage_id).finished_at, list_mixes(book)) == (None, [])
        assert book.scalar(select(func.count()).select_from(RunningClock)) == 1
        assert book.scalars(select(LogLine.words).where(LogLine.act == "undo_act")).all()[-1].startswith("Undone: ")
        assert [fault for proof in list_proofs(book) for fault in proof.faults] == []

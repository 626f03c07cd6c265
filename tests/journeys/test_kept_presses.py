"""A press that waits on a phone: for its person, for a look at what changed, for its time; or it is thrown away."""

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import delete

from shopbook.models.floor import RunningClock
from shopbook.models.shop import SignIn
from shopbook.services.act import Act
from shopbook.services.shop.people import hold_device
from tests.journeys.bench_phone import (
    CLEAR,
    DONE,
    MASK,
    START,
    Bench,
    actor_called,
    bench,
    browsing,
    cookie_of,
    keeps,
    page,
    press_without_network,
    says,
)
from tests.journeys.cutting import Cut
from tests.makers.floor import at

__all__ = ["bench", "page"]
pytestmark = pytest.mark.browser


def test_a_press_waits_for_its_own_person_and_the_pin_sends_it(bench: Bench, page: Page) -> None:
    press_without_network(bench, page)
    with bench.writing() as session:
        hold_device(Act(session, actor_called(session, "Sam"), bench.clock()), 1)
    bench.network.mend()
    keeps(page, START, "It waits for Dana.")
    assert bench.rows(RunningClock) == []
    bench.go(page, "/floor/")
    keeps(page, "by Dana", "It waits for Dana.")
    expect(page.get_by_role("button", name="Discard")).to_have_count(0)
    page.get_by_role("link", name="Send as Dana").click()
    page.get_by_label("PIN").fill("2468")
    page.get_by_role("button", name="Continue").click()
    keeps(page, START, "Clock running.")
    (clock,) = bench.rows(RunningClock)
    with bench.writing() as session:
        assert clock.person_id == actor_called(session, "Dana").person_id


def test_a_press_outlives_the_session_that_it_was_made_in(browser: Browser, bench: Bench) -> None:
    """A phone of Dana's own, signed in with a password: the sign-in ends, and begins anew after the network is back."""
    with browsing(browser, bench, cookie=cookie_of(bench)) as context:
        page = context.new_page()
        press_without_network(bench, page)
        with bench.writing() as session:
            session.execute(delete(SignIn))
        bench.network.mend()
        keeps(page, "It waits for Dana.")
        assert bench.rows(RunningClock) == []
        context.add_cookies([cookie_of(bench)])  # type: ignore[list-item]
        bench.go(page, "/floor/day")
        keeps(page, "Clock running.")
        assert len(bench.rows(RunningClock)) == 1


def test_what_changed_meanwhile_is_shown_with_both_states_until_it_is_sent_anyway(bench: Bench, page: Page) -> None:
    press_without_network(bench, page)
    bench.wait(page, 18)
    bench.begins("Sam", MASK)
    bench.wait(page, 21)
    bench.network.mend()
    keeps(page, "Then: Degrease, mask, tack: open.", "Now: Degrease, mask, tack: Sam on it.")
    assert len(bench.rows(RunningClock)) == 1
    page.get_by_role("button", name=f"Send anyway: {START}").click()
    says(page, "Clock running.")
    assert len(bench.rows(RunningClock)) == 2


def test_a_discarded_press_is_gone_and_said_in_the_log(bench: Bench, page: Page) -> None:
    press_without_network(bench, page)
    bench.wait(page, 18)
    bench.begins("Sam", MASK)
    bench.network.mend()
    keeps(page, "Now:")
    page.get_by_role("button", name=f"Discard: {START}").click()
    keeps(page, "Discarded.")
    assert len(bench.rows(RunningClock)) == 1
    assert bench.late() == [f"Discarded a press of 9:02 am that had waited on a phone: {START}"]


def test_after_twelve_hours_the_phone_shows_its_time_and_a_person_sets_it(bench: Bench, page: Page) -> None:
    bench.go(page, f"/floor/stages/{MASK}")
    page.wait_for_load_state("load")
    bench.network.cut(Cut.BEFORE)
    page.get_by_role("button", name="Done, all as planned").click()
    keeps(page, "Done: 1 Degrease, mask, tack")
    bench.wait(page, 13 * 60)
    bench.network.mend()
    keeps(page, "more than 12 hours", "By this phone’s clock it was 9:02")
    assert page.get_by_label("When was it pressed?").input_value() == "2026-11-05T09:02"
    page.get_by_label("When was it pressed?").fill("2026-11-05T09:30")
    page.get_by_role("button", name="Send: Done: 1 Degrease").click()
    says(page, "Done: Degrease, mask, tack.")
    assert bench.stage(MASK).finished_at == at("9:30")


def test_typed_mix_figures_come_back_on_the_form_until_the_book_has_them(bench: Bench, page: Page) -> None:
    """A page that is opened next is no proof that the book has them."""
    bench.go(page, f"/floor/stages/{CLEAR}")
    page.get_by_text("Not as planned?").click()
    page.get_by_label("Clear medium mixed").fill("450")
    bench.network.cut(Cut.BEFORE)
    page.get_by_role("button", name="Done").click()
    keeps(page, DONE)
    with bench.writing() as session:
        hold_device(Act(session, actor_called(session, "Sam"), bench.clock()), 1)
    bench.network.mend()
    keeps(page, "It waits for Dana.")
    bench.go(page, "/floor/")
    bench.go(page, f"/floor/stages/{CLEAR}")
    page.get_by_text("Your unsaved entries from").wait_for()
    page.get_by_text("Not as planned?").click()
    assert page.get_by_label("Clear medium mixed").input_value() == "450"


def test_a_refusal_at_once_stands_beside_its_field_as_on_a_plain_form(bench: Bench, page: Page) -> None:
    bench.go(page, f"/floor/stages/{CLEAR}")
    page.get_by_text("Not as planned?").click()
    page.get_by_label("Clear medium mixed").fill("much")
    page.get_by_role("button", name="Done").click()
    page.locator("[data-errors]").wait_for()
    assert page.get_by_label("Clear medium mixed").input_value() == "much"
    expect(page.locator("#kept")).to_have_count(0)

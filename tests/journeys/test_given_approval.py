"""An approval by phone that was given before it is saved, of one item of two; then what ledger, lists and paper say."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Browser, expect
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import Approval
from tests.journeys.hands import DESK, PHONE, Hand, Shop
from tests.makers import make_customer, make_vehicle
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote

pytestmark = pytest.mark.browser


@pytest.fixture
def given(shop: Shop) -> int:
    """The id of an estimate for two panels, given an hour ago, of a customer whose number the book has."""
    with shop.writing() as session:
        at = shop.clock() - timedelta(hours=1)
        car = make_vehicle(session, make_customer(session, "Ivo Hale", "555-0153"))
        job = make_planned_job(session, "left_quarter", "rear_bumper", at=at, vehicle_id=car.id)
        job.customer_id = car.customer_id
        return make_given_quote(session, job, at=at).id


def total(hand: Hand) -> str:
    expect(hand.page.locator("form[data-asks]")).not_to_have_attribute("aria-busy", "true")
    return hand.page.locator("#approval-total b.num").inner_text()


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_the_total_follows_the_ticks_and_save_waits_for_it(
    shop: Shop, browser: Browser, given: int, size: dict[str, int]
) -> None:
    with shop.hand(browser, "Desk", size=size) as hand:
        hand.go(f"/money/quotes/{given}/approval")
        assert hand.page.locator("input[type=radio]:checked").count() == 0
        assert hand.page.input_value("#said_by") == ""
        whole = total(hand)
        assert not hand.page.get_by_label("Number called").is_visible()
        hand.begin_count()
        with hand.page.expect_response(
            re.compile(r"/approval\?ticked=yes&groups=\d+$|/approval\?groups=\d+&ticked=yes$")
        ):
            hand.tap(hand.page.locator("#groups label", has_text="bumper"))
        one = total(hand)
        assert one != whole
        hand.pick("Ivo Hale")
        hand.pick("By phone")
        assert hand.page.get_by_label("Number called").is_visible()
        hand.press("Save approval")
        hand.says("Choose who took the call.")
        hand.pick("Desk")
        time = hand.page.get_by_label("Time", exact=True)
        hours, minutes = map(int, time.input_value().split(":"))
        earlier = hours * 60 + minutes - 20
        time.fill(f"{earlier // 60:02}:{earlier % 60:02}")
        hand.press("Save approval")
        hand.arrives(r"/jobs/\d+$")
        hand.took_at_most(6)
        hand.says("by phone")
        hand.go(f"/money/quotes/{given}")
        hand.says("Ivo Hale", "555-0153", "call taken by Desk", "Please do item 1.")
        words = hand.reads(f"/money/quotes/{given}/pdf")
        assert "555-0153" in words
    with shop.book() as book:
        kept = book.scalars(select(Approval).where(Approval.quote_id == given)).one()
        assert kept.at == shop.clock()
        assert kept.at - kept.said_at == timedelta(minutes=20)
        assert (kept.said_by, kept.number_called) == ("Ivo Hale", "555-0153")
        assert book.get_one(Job, kept.job_id).agreed_at == kept.said_at
        assert f"{(kept.amount_minor or 0) / 100:,.2f}" in one


def test_without_script_the_total_is_asked_by_a_press(shop: Shop, browser: Browser, given: int) -> None:
    with shop.hand(browser, "Desk", with_scripts=False) as hand:
        hand.go(f"/money/quotes/{given}/approval")
        whole = hand.page.locator("#approval-total b.num").inner_text()
        hand.tap(hand.page.locator("#groups label", has_text="bumper"))
        hand.pick("Ivo Hale")
        hand.pick("In person")
        hand.press("Save approval")
        hand.says("The total has changed with what is ticked.")
        assert hand.page.locator("#approval-total b.num").inner_text() != whole
        hand.press("Save approval")
        hand.arrives(r"/jobs/\d+$")

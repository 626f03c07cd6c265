"""The desk's part of a job: checked in, planned, quoted on paper, agreed by owner and payer, and something more."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.jobs import Job, PlanVersion, Stage
from shopbook.models.money import Approval, ApprovalGroup, Quote
from shopbook.models.shop import Paper
from tests.journeys.hands import DESK, Shop
from tests.makers import make_customer
from tests.makers.jobs import make_planned_job

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """A job with a dent in the door and a scuffed bumper, its plan drafted; an insurer is known."""
    with shop.writing() as book:
        make_customer(book, "Northfield Mutual", "555-0177", kind="insurer")
        return make_planned_job(book, "right_front_door", "rear_bumper", at=shop.clock()).number


def job_of(shop: Shop, number: int) -> Job:
    with shop.book() as book:
        return book.scalars(select(Job).where(Job.number == number)).one()


def test_the_car_is_checked_in(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.follow("Check in")
        hand.fill("Key", "7")
        hand.choose("Place", "Bay 1")
        hand.fill("Odometer reading", "61204")
        hand.choose("Fuel", "half")
        hand.fill("Warning lights on", "airbag")
        hand.fill("Existing damage", "Crack in the windscreen")
        hand.fill("Left in the car", "Child seat")
        hand.press("Check in")
        hand.arrives(r"/jobs/\d+$")
        hand.took_at_most(9)
        hand.unfold("Check-in")
        hand.says("Bay 1", "airbag", "Crack in the windscreen", "Child seat", "61,204 miles")
    job = job_of(shop, number)
    assert (job.key_number, job.fuel, job.came_at) == ("7", "half", shop.clock())


def test_the_plan_is_changed_struck_restored_and_added_to(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.follow("Edit the plan")
        first = hand.page.get_by_role("link", name=re.compile(r"^Edit: ")).first
        name = str(first.get_attribute("aria-label")).removeprefix("Edit: ")
        hand.tap(first)
        hand.fill("Hours", "2.5", exact=True)
        hand.press("Save")
        hand.arrives(r"/jobs/\d+/plan")
        hand.says("changed by hand", "2.5 h")
        hand.press(f"Remove: {name}")
        hand.press(f"Restore: {name}")
        hand.follow("Add a stage")
        hand.fill("Work to do", "Straighten the bracket behind the bumper")
        hand.fill("Hours", "0.5", exact=True)
        hand.press("Add stage")
        hand.arrives(r"/jobs/\d+/plan")
        hand.says("Straighten the bracket behind the bumper")
        hand.follow("earlier versions")
        assert hand.page.locator("main li, main tr").count() >= 4
    with shop.book() as book:
        job = job_of(shop, number)
        stages = book.scalars(select(Stage).where(Stage.job_id == job.id)).all()
        assert [stage.planned_minutes for stage in stages if stage.name == name] == [150]
        assert [stage.struck_at for stage in stages if stage.name == name] == [None]
        assert [stage.planned_minutes for stage in stages if stage.name.startswith("Straighten")] == [30]
        versions = book.scalars(select(PlanVersion.version).where(PlanVersion.job_id == job.id)).all()
        assert len(versions) >= 5


def test_the_quote_is_drafted_given_read_on_paper_and_shared(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.press("Draft the estimate")
        hand.arrives(r"/money/quotes/\d+$")
        hand.says("Draft.")
        quote = hand.path
        assert "draft" in hand.reads(f"{quote}/pdf").lower()
        hand.press("Issue the estimate")
        hand.page.wait_for_load_state()
        assert "does not have this yet" not in hand.page.locator("main").inner_text()
        hand.took_at_most(2)
        words = hand.reads(f"{quote}/pdf")
        for each in ("Quarry Lane Dent and Paint", "Ines Okafor", "KTR 204", "front door", "bumper", "Not included"):
            assert each in words, each
        assert "�" not in words
        hand.go(f"{quote}/share")
        text = hand.page.get_by_label("Text to send").input_value()
        assert "KTR 204" in text
        assert "$" in text
        for start in ("sms:", "mailto:", "tel:"):
            assert hand.page.locator(f'a[href^="{start}"]').count() == 1, start
        with hand.page.expect_download() as fetched:
            hand.follow("Save PDF")
        saved = Path(fetched.value.path()).read_bytes()
        assert saved.startswith(b"%PDF")
    with shop.book() as book:
        given = book.scalars(select(Quote).where(Quote.job_id == job_of(shop, number).id)).one()
        assert given.given_at == shop.clock()
        assert book.get_one(Paper, given.paper_id).size_bytes == len(saved)


def test_the_owner_takes_one_part_by_phone_and_the_payer_an_amount(shop: Shop, browser: Browser, number: int) -> None:
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.unfold("Approvals")
        hand.follow("Who pays")
        for row, name in ((0, "Northfield Mutual"), (1, "Ines Okafor")):
            option = hand.page.locator(f"#payers-{row}-customer option", has_text=name).first
            hand.presses += 1
            hand.page.select_option(f"#payers-{row}-customer", str(option.get_attribute("value")))
        hand.page.select_option("#payers-0-rule", label="the rest")
        hand.page.select_option("#payers-1-rule", label="the deductible")
        hand.page.fill("#payers-1-amount", "250")
        hand.press("Save")
        hand.arrives(r"/jobs/\d+")
        hand.unfold("Approvals")
        hand.press("Estimate", "link")
        hand.begin_count()
        hand.follow("Customer said yes")
        hand.tap(hand.page.locator("#groups label", has_text="bumper"))
        hand.pick("By phone")
        hand.pick("Desk")
        hand.pick("Ines Okafor")
        hand.press("Save approval")
        hand.arrives(r"/jobs/\d+$")
        hand.took_at_most(6)
        hand.says("at the shop’s risk")
        hand.unfold("Approvals")
        hand.says("by phone", "Northfield Mutual", "At the shop’s risk")
        hand.press("Estimate", "link")
        hand.says("– declined", "✓ accepted")
        hand.follow("Payer said yes")
        hand.choose("Who pays", "Northfield Mutual")
        hand.fill("Payer pays", "900")
        hand.fill("Name and reference", "Claim 4471, desk of claims")
        hand.pick("By email")
        hand.press("Save payer’s approval")
        hand.arrives(r"/(jobs|money/quotes)/\d+$")
    with shop.book() as book:
        approval, payer = book.scalars(select(Approval).order_by(Approval.id)).all()
        assert (approval.party, approval.means, payer.party, payer.amount_minor) == (
            "customer",
            "phone",
            "payer",
            90000,
        )
        taken = book.scalars(select(ApprovalGroup.is_taken).where(ApprovalGroup.approval_id == approval.id)).all()
        assert sorted(taken) == [False, True]
        agreed = [stage for stage in book.scalars(select(Stage)) if stage.agreed_at]
        assert agreed
        assert len(agreed) < len(book.scalars(select(Stage)).all())


def test_what_the_floor_finds_is_told_priced_and_agreed(shop: Shop, browser: Browser, number: int) -> None:
    shop.clock.on(90)
    with shop.hand(browser, "Dana") as hand:
        hand.go(f"/jobs/{number}")
        hand.begin_count()
        hand.follow("Add extra work")
        hand.fill("What was found", "Bracket behind the door cracked")
        hand.fill("Body work, hours", "0.5")
        assert hand.page.get_by_label("Set price").count() == 0
        hand.press("Tell the desk")
        hand.page.wait_for_load_state()
        hand.took_at_most(4)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        hand.follow("Extra work, draft")
        hand.press("Issue the estimate")
        with shop.book() as book:
            extra = book.scalars(select(Quote).where(Quote.kind == "extra")).one()
        hand.follow("Customer said yes")
        hand.pick("By text")
        hand.pick("Ines Okafor")
        hand.unfold("Note or picture of the message")
        hand.fill("In their words, or a note", "Yes please, go ahead")
        hand.press("Save approval")
        hand.arrives(r"/jobs/\d+$")
        hand.unfold("Approvals")
        hand.says("Extra work: Bracket behind the door cracked", "text")
    with shop.book() as book:
        approval = book.scalars(select(Approval).where(Approval.quote_id == extra.id)).one()
        assert (approval.means, approval.words, approval.on) == ("text", "Yes please, go ahead", shop.clock().date())
        first = book.scalars(select(Approval).order_by(Approval.id)).first()
        assert first
        assert approval.at - first.at == timedelta(minutes=90)

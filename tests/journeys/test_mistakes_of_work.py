"""Approved work is removed: hours and sum are said first, the approval stays, and what was removed comes back."""

import pytest
from playwright.sync_api import Browser
from sqlalchemy import select

from shopbook.models.jobs import Damage, Job
from shopbook.models.money import Approval
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.owed import job_stands
from tests.journeys.hands import DESK, Shop
from tests.journeys.mistakes import reach
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_yes

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def number(shop: Shop) -> int:
    """A job with a dent in the door and a scuffed bumper, its estimate given and approved."""
    with shop.writing() as book:
        at = shop.clock()
        job = make_planned_job(book, "right_front_door", "rear_bumper", at=at)
        quote = make_given_quote(book, job, at=at)
        make_yes(book, quote, at=at)
        return job.number


def stands(shop: Shop, number: int) -> tuple[int, int, list[bool]]:
    """Planned minutes, the approved total, and which damages are removed."""
    with shop.book() as book:
        job = book.scalars(select(Job).where(Job.number == number)).one()
        minutes = sum(stage.planned_minutes for stage in list_stages(book, job.id))
        approved = job_stands(book, [job.id], shop.clock().date())[job.id].agreed_minor
        struck = book.scalars(select(Damage.struck_at).where(Damage.job_id == job.id).order_by(Damage.number))
        return minutes, approved, [moment is not None for moment in struck]


def test_removing_approved_work_says_hours_and_sum_first(shop: Shop, browser: Browser, number: int) -> None:
    whole, approved, _ = stands(shop, number)
    with shop.hand(browser, "Desk", size=DESK) as hand:
        hand.go(f"/jobs/{number}")
        reach(hand, "removal")
        hand.says("What changes", f"{whole / 60:.1f} h", f"${approved / 100:,.2f}", "The approved total stays")
        assert stands(shop, number) == (whole, approved, [False, False]), "it was only tried"
        hand.press("Remove")
        hand.arrives(rf"/jobs/{number}")
        hand.says(f"${approved / 100:,.2f}")
        with shop.book() as book:
            quote_id = book.scalars(select(Approval.quote_id)).one()
        assert "umper" in hand.reads(f"/money/quotes/{quote_id}/pdf"), "the paper that was approved says what it said"
        assert stands(shop, number)[1:] == (approved, [False, True])
        hand.go(f"/jobs/{number}")
        hand.begin_count()
        hand.unfold("More about this job")
        hand.follow("Removed items")
        hand.press("Restore: damage 2")
        hand.arrives(rf"/jobs/{number}$")
        hand.took_at_most(3)
    assert stands(shop, number) == (whole, approved, [False, False])

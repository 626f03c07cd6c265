"""What of a job may be billed: an estimate by its hours up to its sum, and what nobody said yes to waits."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.services.act import Act
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.permissions import Actor
from tests.makers.billing import (
    DOOR,
    add_quote,
    make_job,
    prove,
)


def test_an_estimate_is_billed_by_its_hours_and_held_beyond_its_sum(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_job(session, now)
    lines = [("labour", "Body work", 65000)]
    add_quote(session, job, job.opened_at, [("car", "Repair", lines)], is_estimate=True, up_to_minor=70000)
    work, day = agreed_work(session, [job.id])[job.id], billing_day(session, date(2026, 11, 5))
    for minutes, billed, held in ((540, 58500, 0), (600, 65000, 0), (630, 68250, 0), (900, 70000, 27500)):
        from dataclasses import replace

        found = bill_agreed(replace(work, done_minutes={"body": minutes}), day)
        assert (found.bill.gross_minor, found.beyond.held_minor) == (billed, held)


def test_a_part_nobody_quoted_is_held_and_named(session: Session, owner: Actor, now: datetime) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR])
    session.add(
        JobPart(
            job_id=job.id,
            kind="part",
            name="Wing liner",
            source="new",
            cost_minor=3200,
            price_minor=4000,
            is_touched=True,
            line_key=draw_keys(job),
        )
    )
    session.flush()
    found = bill_agreed(agreed_work(session, [job.id])[job.id], billing_day(session, date(2026, 11, 5)))
    assert found.held == (("Wing liner", 4000),)
    assert found.bill.net_minor == 14000


def test_a_discount_comes_off_the_quote_it_was_given_on_so_that_each_yes_holds(
    session: Session, now: datetime, act: Act
) -> None:
    """100.00 off taxed work (8 %) of 500.00 is 432.00; the untaxed extra of 300.00 beside it stays 300.00."""
    job = make_job(session, now)
    taxed = [("car", "Colour", [("materials", "Colour", 50000)])]
    add_quote(session, job, job.opened_at, taxed, discount_minor=10000)
    add_quote(session, job, now, [("car", "More", [("labour", "More", 30000)])], kind="extra")
    assert issue_invoice(act, job.id).gross_minor == 43200 + 30000
    prove(session)

"""The month's jobs: worked in one month and invoiced in the next, the margin is the whole job's and the sums agree."""

from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.money.invoices import list_job_invoices
from shopbook.queries.money.margins import job_margin
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.whole_month import read_month
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from shopbook.trade.results.margin import Costs, Margin
from shopbook.web.reports.month_paper import compose_closing
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_work
from tests.makers.shelf import make_delivery, make_material

OCTOBER = date(2026, 10, 20)
NOVEMBER = date(2026, 11, 3)


def work(session: Session, who: Actor, job: Job, day: date, hours: int) -> Any:
    """So many hours of one person on a stage of the job, from nine in the morning."""
    stage = make_work(session, job=job, minutes=60 * hours)
    assert who.person_id is not None
    span = Interval(at("9:00", day), at("9:00", day) + timedelta(hours=hours))
    write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(stage.id,)))
    return stage


def worked_then_invoiced(session: Session, owner: Actor, now: datetime) -> Job:
    """Four hours and a part in October; one more hour, half a can of clear and the invoice of 803.00 in November."""
    job = make_agreed_job(session, at("8:00", OCTOBER))
    work(session, owner, job, OCTOBER, 4)
    part = add_part(Act(session, owner, at("8:00", OCTOBER)), job.id, name="Lamp", cost_minor=5000)
    part_came(Act(session, owner, at("12:00", OCTOBER)), part.id)
    stage = work(session, owner, job, NOVEMBER, 1)
    clear = make_material(session)
    make_delivery(session, clear)
    draw_stock(Act(session, owner, at("9:30", NOVEMBER)), clear, 500_000, Source(job_id=job.id, stage_id=stage.id))
    issue_invoice(Act(session, owner, now), job.id)
    return job


def test_a_job_worked_in_october_and_invoiced_in_november_shows_its_whole_margin(
    session: Session, owner: Actor, now: datetime
) -> None:
    """An hour costs 31.00: 4 h and a part of 50.00 make 174.00 in October; 31.00 and 20.00 fall into November."""
    job = worked_then_invoiced(session, owner, now)
    october, november = (get_month_end(session, month) for month in ("2026-10", "2026-11"))
    first, second = october.by_job[str(job.number)], november.by_job[str(job.number)]
    assert (first.whole.margin_minor, first.is_in_hand) == (-17400, True)
    assert second.before == Margin(0, Costs(labour_minor=12400, parts_minor=5000))
    assert second.month == Margin(80300, Costs(labour_minor=3100, materials_minor=2000))
    assert (second.whole.margin_minor, second.is_in_hand) == (80300 - 17400 - 5100, False)
    assert second.whole.margin_minor == job_margin(session, job.id, now.date()).margin.so_far.margin_minor


def test_the_columns_of_the_month_add_up_to_its_invoiced_and_cost(
    session: Session, owner: Actor, now: datetime
) -> None:
    worked_then_invoiced(session, owner, now)
    work(session, owner, make_agreed_job(session, now), NOVEMBER, 2)
    november = get_month_end(session, "2026-11")
    rows = november.by_job.values()
    assert sum((row.month.costs for row in rows), Costs()) == november.all_jobs.costs
    assert sum(row.month.revenue_minor for row in rows) == november.net_minor == 80300
    whole = sum(row.whole.margin_minor for row in rows)
    assert whole == november.together.before.margin_minor + november.all_jobs.margin_minor


def test_the_jobs_of_the_month_say_what_was_brought_forward_and_which_is_in_progress(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = worked_then_invoiced(session, owner, now)
    open_job = make_agreed_job(session, now)
    work(session, owner, open_job, NOVEMBER, 2)
    section = compose_closing(session, "2026-11", now.date())[0].section("jobs")
    assert section is not None
    assert section.total is not None
    done, in_hand = section.rows
    assert (done.code, done.figures) == (
        f"job_{job.number}",
        ("−174.00", "803.00", "31.00", "20.00", "", "", "", "578.00", "72.0"),
    )
    assert (in_hand.label, in_hand.figures[-2:]) == (str(open_job.number), ("−62.00", ""))
    assert in_hand.below.endswith("in progress")
    assert section.total.figures == ("−174.00", "803.00", "93.00", "20.00", "", "", "", "516.00", "")


def test_all_cost_of_the_month_is_in_work_against_sales_or_a_line_of_its_own(
    session: Session, owner: Actor, now: datetime
) -> None:
    """62.00 in work; 174.00 of October, 31.00 and 20.00 against 803.00; what the month says equals what it keeps."""
    worked_then_invoiced(session, owner, now)
    work(session, owner, make_agreed_job(session, now), NOVEMBER, 2)
    work(session, owner, make_agreed_job(session, now, purpose="comeback"), NOVEMBER, 1)
    read = read_month(ShopOn(session, now.date()), "2026-11")
    rows = read.left.work.jobs.values()
    in_month = (
        sum((row.added + row.further + row.later + row.apart).total_minor for row in rows)
        + read.left.figures.supplies_on_no_job_minor
    )
    assert in_month == read.left.figures.all_jobs.costs.total_minor == 3_100 + 2_000 + 6_200 + 3_100
    assert read.left.profit.gross.margin_minor == 80_300 - 17_400 - 5_100
    assert (read.left.profit.rework_minor, read.left.work.closing_minor) == (3_100, 6_200)
    assert (read.numbers["gross_profit_minor"], read.numbers["work_closing_minor"]) == (57_800, 6_200)


def test_a_job_is_in_hand_again_once_its_invoice_is_taken_back(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = worked_then_invoiced(session, owner, now)
    invoice_id = issue_of(session, job)
    credit_invoice(act, invoice_id, reason="wrong car")
    row = get_month_end(session, "2026-11").by_job[str(job.number)]
    assert (row.month.revenue_minor, row.is_in_hand) == (0, True)


def issue_of(session: Session, job: Job) -> int:
    return list_job_invoices(session, job.id)[0].id


def test_a_job_that_was_called_off_or_went_without_an_invoice_is_not_in_hand(
    session: Session, owner: Actor, now: datetime
) -> None:
    off, gone, kept = (make_agreed_job(session, now) for _ in range(3))
    for job in (off, gone, kept):
        work(session, owner, job, NOVEMBER, 1)
    off.called_off_at = now
    gone.handed_over_at, gone.handed_over_on = now, date(2026, 11, 5)
    session.flush()
    rows = get_month_end(session, "2026-11").by_job
    assert [rows[str(job.number)].is_in_hand for job in (off, gone, kept)] == [False, False, True]


def test_the_number_of_statements_does_not_grow_with_the_jobs_of_the_month(
    session: Session, owner: Actor, now: datetime
) -> None:
    counts = []
    for _ in range(2):
        work(session, owner, make_agreed_job(session, now), NOVEMBER, 1)
        work(session, owner, make_agreed_job(session, now), NOVEMBER, 1)
        seen: list[str] = []

        def listen(*told: object, seen: list[str] = seen) -> None:
            seen.append(str(told[2]))

        event.listen(session.get_bind(), "before_cursor_execute", listen)
        get_month_end(session, "2026-11")
        event.remove(session.get_bind(), "before_cursor_execute", listen)
        counts.append(len(seen))
    assert counts[0] == counts[1] > 0

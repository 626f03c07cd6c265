"""Work in progress of a small frozen month: what comes in, what leaves invoiced or cancelled, what never enters."""

from datetime import date
from typing import Any

import pytest

from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.margin import Costs, share_words
from shopbook.trade.results.profit import StockLosses, losses_of, month_profit
from shopbook.trade.results.work_in_progress import DayCost, JobCourse, JobMonthCosts, WorkInProgress, follow_job
from tests.trade.results.test_month import STOCK

FIRST, LAST = date(2026, 11, 1), date(2026, 11, 30)
OCTOBER, SECOND, TWENTIETH, LATE = date(2026, 10, 28), date(2026, 11, 2), date(2026, 11, 20), date(2026, 11, 25)


def follow(course: JobCourse, *spent: DayCost, before: int = 0, kept: int | None = None) -> JobMonthCosts:
    return follow_job(course, Costs(labour_minor=before), spent, FIRST, LAST, kept)


def cost(minor: int, on: date = SECOND, kind: str = "labour_minor") -> DayCost:
    return DayCost(on, Costs(**{kind: minor}))


def november() -> WorkInProgress:
    """The jobs A to F: before, November, and what became of each."""
    return WorkInProgress(
        {
            "A": follow(JobCourse(invoiced_on=(TWENTIETH,)), cost(16_800), before=34_000),
            "B": follow(JobCourse(), cost(38_500)),
            "C": follow(JobCourse(finished_on=LATE), cost(25_500)),
            "E": follow(JobCourse(cancelled_on=LATE), cost(7_000)),
            "D": follow(JobCourse(JobPurpose.COMEBACK), cost(11_800)),
            "F": follow(JobCourse(invoiced_on=(OCTOBER,)), cost(2_400)),
        }
    )


def test_opening_and_added_less_invoiced_and_cancelled_is_the_closing() -> None:
    """340.00 + 878.00 − 508.00 − 70.00 = 640.00."""
    work = november()
    sums = (work.opening_minor, work.added_minor, work.invoiced_minor, work.cancelled_minor, work.closing_minor)
    assert sums == (34_000, 87_800, 50_800, 7_000, 64_000)
    assert [job.closing_minor for job in work.jobs.values()] == [0, 38_500, 25_500, 0, 0, 0]
    assert (work.in_work, work.closing_of(work.in_work)) == (("B",), 38_500)
    assert (work.finished, work.closing_of(work.finished)) == (("C",), 25_500)
    assert (work.opened_with, work.cancelled, work.changed_minor) == (("A",), ("E",), 0)


def test_gross_profit_is_sales_less_the_cost_of_what_was_invoiced() -> None:
    """1,150.00 − 508.00 = 642.00, 55.8 %; less rework 118.00, cancelled 70.00, later cost 24.00 = 430.00."""
    profit = month_profit(115_000, november().jobs.values())
    assert (profit.jobs, profit.costs.total_minor) == (1, 50_800)
    assert (profit.gross.margin_minor, share_words(profit.gross.share_permille)) == (64_200, "55.8 %")
    assert (profit.rework_minor, profit.cancelled_minor, profit.later_minor) == (11_800, 7_000, 2_400)
    assert profit.after_cars_minor == 43_000


def test_two_invoices_each_take_the_cost_since_the_one_before() -> None:
    """400.00 then 700.00 in November, 150.00 then 300.00 in December: 300.00 and 150.00."""
    december = date(2026, 12, 1), date(2026, 12, 31)
    course = JobCourse(invoiced_on=(TWENTIETH, date(2026, 12, 10)))
    november = follow_job(course, Costs(), [cost(40_000)], FIRST, LAST)
    then = follow_job(course, Costs(labour_minor=40_000), [cost(15_000, date(2026, 12, 4))], *december)
    assert month_profit(70_000, [november]).gross.margin_minor == 30_000
    assert month_profit(30_000, [then]).gross.margin_minor == 15_000
    assert (then.opening_minor, then.invoiced.total_minor, then.further.total_minor) == (0, 0, 15_000)


def test_cost_after_the_invoice_of_the_same_month_is_later_cost_unless_a_further_invoice_takes_it() -> None:
    once = follow(JobCourse(invoiced_on=(TWENTIETH,)), cost(10_000), cost(2_400, LATE))
    assert (once.invoiced.total_minor, once.later.total_minor, once.of_sales.total_minor) == (10_000, 2_400, 10_000)
    twice = follow(JobCourse(invoiced_on=(TWENTIETH, LATE)), cost(10_000), cost(2_400, LATE))
    assert (twice.further.total_minor, twice.later.total_minor, twice.of_sales.total_minor) == (2_400, 0, 12_400)


def test_the_months_share_of_shop_supplies_goes_with_its_invoice_whatever_the_day() -> None:
    share = cost(600, LATE, "supplies_minor")
    job = follow(JobCourse(invoiced_on=(TWENTIETH,)), cost(10_000), share)
    assert (job.invoiced, job.later) == (Costs(labour_minor=10_000, supplies_minor=600), Costs())
    after = follow(JobCourse(invoiced_on=(OCTOBER,)), share)
    assert (after.later.supplies_minor, after.closing_minor) == (600, 0)


def test_what_an_invoice_took_out_never_returns() -> None:
    """Credited in November or not: the October invoice took it, and what is done since is later cost."""
    job = follow(JobCourse(invoiced_on=(OCTOBER,)), cost(5_000), before=34_000)
    assert (job.opening_minor, job.closing_minor, job.later.total_minor) == (0, 0, 5_000)


def test_a_job_cancelled_before_its_part_went_back_leaves_nothing_in_it() -> None:
    back = follow(JobCourse(cancelled_on=OCTOBER), cost(-8_000, kind="parts_minor"), before=20_000)
    assert (back.opening_minor, back.added.total_minor, back.cancelled.total_minor) == (0, -8_000, -8_000)
    assert back.closing_minor == 0


def test_a_job_cancelled_in_one_month_and_billed_a_fee_for_its_hours_in_the_same_one_is_invoiced() -> None:
    job = follow(JobCourse(invoiced_on=(LATE,), cancelled_on=TWENTIETH), cost(7_000), before=1_000)
    assert (job.invoiced.total_minor, job.cancelled.total_minor, job.closing_minor) == (8_000, 0, 0)
    next_month = follow(JobCourse(invoiced_on=(LATE,), cancelled_on=OCTOBER), cost(500), before=1_000)
    assert (next_month.opening_minor, next_month.of_sales.total_minor, next_month.closing_minor) == (0, 500, 0)


@pytest.mark.parametrize("purpose", [JobPurpose.COMEBACK, JobPurpose.GOODWILL, JobPurpose.OWN_CAR])
def test_a_job_that_nobody_pays_for_is_a_line_of_the_month_whole(purpose: JobPurpose) -> None:
    job = follow(JobCourse(purpose, invoiced_on=(LATE,)), cost(11_800), cost(600, LATE, "supplies_minor"), before=900)
    assert (job.apart.total_minor, job.opening_minor, job.closing_minor, job.of_sales) == (12_400, 0, 0, Costs())
    profit = month_profit(0, [job])
    by: dict[str, Any] = {
        JobPurpose.COMEBACK: profit.rework_minor,
        JobPurpose.GOODWILL: profit.goodwill_minor,
        JobPurpose.OWN_CAR: profit.own_cars_minor,
    }
    assert {name for name, minor in by.items() if minor} == {purpose}
    assert profit.after_cars_minor == -12_400


def test_the_opening_of_a_closed_month_is_its_kept_figure_and_what_changed_since_is_said() -> None:
    """Cancelled when October was closed with nothing kept of it, then taken up again with its 340.00."""
    again = follow(JobCourse(), cost(1_000), before=34_000, kept=0)
    assert (again.opening_minor, again.changed_minor, again.closing_minor) == (0, 34_000, 35_000)
    gone = follow(JobCourse(cancelled_on=OCTOBER), before=34_000, kept=34_000)
    assert (gone.opening_minor, gone.changed_minor, gone.closing_minor) == (34_000, -34_000, 0)
    goodwill = follow(JobCourse(JobPurpose.GOODWILL), before=34_000, kept=34_000)
    assert (goodwill.opening_minor, goodwill.changed_minor, goodwill.closing_minor) == (34_000, -34_000, 0)
    same = follow(JobCourse(), before=34_000, kept=34_000)
    assert (same.opening_minor, same.changed_minor, same.closing_minor) == (34_000, 0, 34_000)


def test_a_finished_job_that_cost_nothing_is_still_to_be_billed_and_one_in_work_is_not_carried() -> None:
    work = WorkInProgress({"1": follow(JobCourse(finished_on=LAST)), "2": follow(JobCourse())})
    assert (work.finished, work.in_work) == (("1",), ())
    later = WorkInProgress({"1": follow(JobCourse(finished_on=date(2026, 12, 1)), cost(100))})
    assert (later.finished, later.in_work) == ((), ("1",))


def test_what_the_shelf_lost_beside_the_jobs_is_supplies_waste_counts_and_prices() -> None:
    losses = losses_of(STOCK, 4_200)
    assert losses == StockLosses(supplies_minor=4_200, wasted_minor=1_000, counted_minor=500, variance_minor=300)
    assert losses.total_minor == 6_000

"""What the invoices of some days brought, and what those jobs and the jobs that nobody pays for cost."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from shopbook.queries.reports.span_read import SpanRead
from shopbook.queries.reports.work_in_progress import Followed, costs_by_job, follow_jobs, owners_part
from shopbook.trade.billing import LineKind
from shopbook.trade.results.break_even import SoldWork, sold_work
from shopbook.trade.results.papers import net_by_kind
from shopbook.trade.results.profit import MonthEarnings, losses_of, month_profit


@dataclass(frozen=True, slots=True)
class SoldReading:
    """What was sold, from sales to what is left after the cost of the cars and of the shelf; the jobs it is of."""

    followed: Followed
    profit: MonthEarnings
    sold: SoldWork

    @property
    def shelf_minor(self) -> int:
        """What the shelf lost that no job carries, in minor units."""
        return self.profit.losses.total_minor


def sum_sold(read: SpanRead, first: date, last: date) -> SoldReading:
    """The days from `first`, a month's first, to `last`, days of what is `read`: what is set against their sales, and
    what is lost, by the rule of `trade/results/work_in_progress.py`."""
    followed = follow_jobs(read.cars, first, last)
    by_kind = net_by_kind((paper for papers in read.cars.papers.values() for paper in papers), first, last)
    losses = losses_of(read.shelf.sums(first, last), supplies_on_no_job(read, first, last))
    profit = month_profit(sum(by_kind.values()), costs_by_job(followed).values(), losses)
    minutes = sum(read.hours.minutes(first, last).values())
    return SoldReading(followed, profit, sold_of(minutes, by_kind, profit, owners_part(read.cars, followed)))


def supplies_on_no_job(read: SpanRead, first: date, last: date) -> int:
    """Shop supplies opened on these days that no job's row carries: of months in which no clock ran on a car."""
    carried = sum(line.costs.supplies_minor for line in read.cars.costs_of(first, last))
    return read.shelf.sums(first, last).issued_to_supplies_minor - carried


def sold_of(minutes: int, by_kind: Mapping[LineKind, int], earned: MonthEarnings, owner_labour_minor: int) -> SoldWork:
    """What was sold: hours, sales by kind of line, and the cost of what a month earned."""
    lost = earned.apart_minor
    return sold_work(minutes, by_kind, earned.costs, lost_minor=lost, owner_labour_minor=owner_labour_minor)

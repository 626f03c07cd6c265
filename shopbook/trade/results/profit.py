"""From sales to gross profit to what is left of a month: only the cost of what was invoiced stands against sales.

Example (its jobs stand in `work_in_progress.py`): sales 1,150.00 − 508.00 = gross profit 642.00, 55.8 %; less rework
118.00, a cancelled job 70.00 and later cost 24.00 = 430.00. All cost of the month against its sales would say 130.00.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.margin import Costs, Margin
from shopbook.trade.results.month import StockSums
from shopbook.trade.results.work_in_progress import JobMonthCosts


@dataclass(frozen=True, slots=True)
class StockLosses:
    """What the shelf lost that no job carries, in minor units: less than zero is a gain."""

    supplies_minor: int = 0
    """Shop supplies of a month in which no clock ran on a car."""
    wasted_minor: int = 0
    counted_minor: int = 0
    """Counted as less than the book said."""
    variance_minor: int = 0
    """True-ups and changes of price that fell on what was used already."""

    @property
    def total_minor(self) -> int:
        return self.supplies_minor + self.wasted_minor + self.counted_minor + self.variance_minor


def losses_of(stock: StockSums, supplies_on_no_job_minor: int) -> StockLosses:
    """What the shelf lost in a month beside what jobs used."""
    return StockLosses(supplies_on_no_job_minor, stock.wasted_minor, -stock.counted_minor, stock.variance_minor)


@dataclass(frozen=True, slots=True)
class MonthEarnings:
    """A month from its sales to what is left after the cost of its cars and of its shelf, in minor units.

    `costs` is the cost of the jobs invoiced. `rework_minor`, `goodwill_minor` and `own_cars_minor` are the cost of jobs
    that nobody pays for; `later_minor` was spent after a job's invoice.
    """

    sales_minor: int
    jobs: int
    costs: Costs
    rework_minor: int = 0
    goodwill_minor: int = 0
    own_cars_minor: int = 0
    cancelled_minor: int = 0
    later_minor: int = 0
    losses: StockLosses = field(default_factory=StockLosses)

    @property
    def gross(self) -> Margin:
        """Gross profit with its share of sales."""
        return Margin(self.sales_minor, self.costs)

    @property
    def apart_minor(self) -> int:
        """Cost of cars in the month that no invoice of it takes."""
        nobody_pays = self.rework_minor + self.goodwill_minor + self.own_cars_minor
        return nobody_pays + self.cancelled_minor + self.later_minor

    @property
    def after_cars_minor(self) -> int:
        """Gross profit less the cost of cars that no invoice takes: 642.00 − 118.00 − 70.00 − 24.00 = 430.00."""
        return self.gross.margin_minor - self.apart_minor


def month_profit(sales_minor: int, jobs: Iterable[JobMonthCosts], losses: StockLosses | None = None) -> MonthEarnings:
    """The month of these jobs and sales before tax."""
    rows = list(jobs)
    return MonthEarnings(
        sales_minor=sales_minor,
        jobs=sum(job.is_billed for job in rows),
        costs=sum((job.of_sales for job in rows), Costs()),
        rework_minor=_apart(rows, JobPurpose.COMEBACK),
        goodwill_minor=_apart(rows, JobPurpose.GOODWILL),
        own_cars_minor=_apart(rows, JobPurpose.OWN_CAR),
        cancelled_minor=sum(job.cancelled.total_minor for job in rows),
        later_minor=sum(job.later.total_minor for job in rows),
        losses=losses or StockLosses(),
    )


def _apart(rows: Iterable[JobMonthCosts], purpose: JobPurpose) -> int:
    return sum(job.apart.total_minor for job in rows if job.purpose is purpose)

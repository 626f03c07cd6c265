"""A month read once, for its page, its files, the command line and its closing alike."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.models.jobs import Job
from shopbook.queries.money.owed import owed_as_of
from shopbook.queries.money.quotes import QuoteMonth, quote_months
from shopbook.queries.reports.month_profit import MonthLeft, read_left
from shopbook.queries.reports.paid import get_paid
from shopbook.queries.reports.paint_hours import read_paint_hours
from shopbook.queries.reports.put_right import PutRight, list_put_right
from shopbook.queries.reports.span_read import SpanRead, read_span
from shopbook.queries.reports.taken_back import TakenBack, list_taken_back
from shopbook.queries.reports.tax import get_tax
from shopbook.queries.reports.worst_jobs import list_billed_stages, list_worst_jobs
from shopbook.queries.shelf.movements import below_zero
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.results.break_even import PaintHours
from shopbook.trade.results.kept_month import left_numbers, month_numbers, profit_numbers, work_numbers
from shopbook.trade.results.paid import Paid
from shopbook.trade.results.tax_span import SpanTax
from shopbook.trade.results.worst_jobs import InvoicedJob
from shopbook.trade.stock.below_zero import BelowZero


@dataclass(frozen=True, slots=True)
class WholeMonth:
    """All that is said of a month: `left` from its sales to what is left, `jobs` those of its figures by number, what
    was owed and what was below zero on its last day (on `left.until` while it runs), the rest of its days."""

    month: str
    first: date
    last: date
    today: date
    left: MonthLeft
    paint: PaintHours
    worst: Sequence[InvoicedJob]
    below_zero: BelowZero
    owed: Ageing
    paid: Paid
    tax: SpanTax
    jobs: Mapping[int, Job]
    put_right: Sequence[PutRight]
    taken_back: Sequence[TakenBack]
    quotes: QuoteMonth | None

    @property
    def numbers(self) -> dict[str, int]:
        """What a closing keeps of it, by name."""
        left = self.left
        house = left.even.house.costs(left.profit.losses.total_minor)
        return {
            **month_numbers(left.figures, self.owed),
            **profit_numbers(left.profit),
            **left_numbers(left.even.even, house, left.even.owner_labour_minor),
            **work_numbers(left.work),
            "below_zero_minor": self.below_zero.value_minor,
            "paid_minor": self.paid.total.total_minor,
            "tax_due_basis_minor": self.tax.basis_minor,
            "tax_due_minor": self.tax.tax_minor,
        }


def read_month(shop: ShopOn, month: str, read: SpanRead | None = None) -> WholeMonth:
    """A month ("2026-11") as it stands, seen from the shop's day; `read` is a span with the month in it, where it is
    read already. A fixed number of statements whatever it holds."""
    session, (first, last) = shop.session, month_bounds(month)
    read = read_span(shop, first, last) if read is None else read
    left, stages = read_left(read, month), list_billed_stages(read.cars, first, last)
    return WholeMonth(
        month=month,
        first=first,
        last=last,
        today=shop.day,
        left=left,
        paint=read_paint_hours(read.cars, first, last, stages),
        worst=list_worst_jobs(read.cars, first, last, stages),
        below_zero=below_zero(session, last),
        owed=owed_as_of(session, left.until),
        paid=get_paid(session, first, last),
        tax=get_tax(shop, first, last),
        jobs={job.number: job for job in read.cars.jobs if str(job.number) in left.figures.by_job},
        put_right=list_put_right(session, left.costs),
        taken_back=list_taken_back(session, first, last),
        quotes=next(iter(quote_months(session, first, last)), None),
    )

"""From a month's sales to what is left of it, read from the book; of a closed month what its closing kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.queries.floor.hours import sheets_to_the_end
from shopbook.queries.money.closings import list_standing_closings
from shopbook.queries.money.costs import CostLine
from shopbook.queries.reports.break_even import EvenReading, read_break_even
from shopbook.queries.reports.cars_read import closings_wanted
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.sold_work import sum_sold
from shopbook.queries.reports.span_read import SpanRead, read_span
from shopbook.queries.reports.work_in_progress import read_work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.results.kept_month import kept_profit
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.profit import MonthEarnings
from shopbook.trade.results.work_in_progress import WorkInProgress


@dataclass(frozen=True, slots=True)
class MonthLeft:
    """A month from its sales to what is left; `costs` are those of its cars, `until` its last day, or today while it
    runs."""

    until: date
    costs: Sequence[CostLine]
    figures: MonthEnd
    work: WorkInProgress
    profit: MonthEarnings
    even: EvenReading


@dataclass(frozen=True, slots=True)
class MonthsRead:
    """Several months read once: (gross, net profit) of each that its closing `kept`, and the span of those that are
    open; None where none is."""

    kept: Mapping[str, tuple[int, int | None]]
    span: SpanRead | None


def read_months(shop: ShopOn, months: Sequence[str]) -> MonthsRead:
    """These months, one after the other; a fixed number of statements however many."""
    closings = list_standing_closings(shop.session, closings_wanted(months))
    found = {closing.month: kept_profit(closing.numbers) for closing in closings}
    kept = {month: profit for month, profit in found.items() if profit is not None}
    still_open = [month for month in months if month not in kept]
    if not still_open:
        return MonthsRead(kept, None)
    return MonthsRead(kept, read_span(shop, *_bounds(still_open), closings))


def _bounds(months: Sequence[str]) -> tuple[date, date]:
    return month_bounds(months[0])[0], month_bounds(months[-1])[1]


def read_left(read: SpanRead, month: str) -> MonthLeft:
    """What is left of a month ("2026-11") of what is `read`, as the book stands; a fixed number of statements."""
    shop, (first, last) = read.shop, month_bounds(month)
    until = _until(shop, month)
    sheets = sheets_to_the_end(shop, first, until, read.house.hours)
    sold = sum_sold(read, first, last)
    return MonthLeft(
        until=until,
        costs=read.cars.costs_of(first, last),
        figures=get_month_end(shop.session, month, read, sheets),
        work=read_work(shop, sold.followed),
        profit=sold.profit,
        even=read_break_even(read, first, until, sold, sheets),
    )


def _until(shop: ShopOn, month: str) -> date:
    """The last day of a month, or today while it runs."""
    first, last = month_bounds(month)
    return min(last, max(first, shop.day))


def list_profits(read: MonthsRead, months: Iterable[str]) -> list[tuple[str, int, int | None]]:
    """(month, gross profit, net profit before tax) of these months, of what is `read`; no statement but the shop's."""
    return [(month, *(read.kept.get(month) or _profit(read.span, month))) for month in months]


def _profit(read: SpanRead | None, month: str) -> tuple[int, int]:
    assert read is not None, month
    (first, last), until = month_bounds(month), _until(read.shop, month)
    sold = sum_sold(read, first, last)
    return sold.profit.gross.margin_minor, read_break_even(read, first, until, sold).even.profit_minor

"""From a month's sales to what is left of it, read from the book; of a closed month what its closing kept."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.floor.hours import sheets_to_the_end
from shopbook.queries.money.closings import list_standing_closings
from shopbook.queries.money.costs import CostLine
from shopbook.queries.reports.break_even import EvenReading, read_break_even
from shopbook.queries.reports.month import get_month_end, list_month_costs
from shopbook.queries.reports.sold_work import sold_of
from shopbook.queries.reports.work_in_progress import follow_jobs, owners_part, read_work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.results.kept_month import kept_profit
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.profit import MonthEarnings, losses_of, month_profit
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


def read_left(shop: ShopOn, month: str) -> MonthLeft:
    """What is left of a month ("2026-11") as the book stands; a fixed number of statements."""
    session, (first, last) = shop.session, month_bounds(month)
    until = min(last, max(first, shop.day))
    sheets, costs = sheets_to_the_end(shop, first, until), list_month_costs(session, month)
    followed = follow_jobs(shop, first, last, costs)
    figures = get_month_end(session, month, costs, shop, followed.before_by_number, sheets)
    work = read_work(shop, followed)
    losses = losses_of(figures.stock, figures.supplies_on_no_job_minor)
    profit = month_profit(figures.net_minor, work.jobs.values(), losses)
    sold = sold_of(figures.hours.sold_minutes, figures.by_kind, profit, owners_part(shop, followed))
    even = read_break_even(shop, first, until, sold, losses.total_minor, sheets)
    return MonthLeft(until, costs, figures, work, profit, even)


def list_profits(
    shop: ShopOn, months: Collection[str], known: Mapping[str, MonthLeft] | None = None
) -> list[tuple[str, int, int | None]]:
    """(month, gross profit, net profit before tax) of these months: of a closed one what was kept, of one that is
    `known` what was read already."""
    kept = _kept_profits(shop.session, months)
    found = []
    for month in months:
        if month not in kept:
            left = (known or {}).get(month) or read_left(shop, month)
            kept[month] = left.profit.gross.margin_minor, left.even.even.profit_minor
        found.append((month, *kept[month]))
    return found


def _kept_profits(session: Session, months: Collection[str]) -> dict[str, tuple[int, int | None]]:
    closings = list_standing_closings(session, months)
    found = {closing.month: kept_profit(closing.numbers) for closing in closings}
    return {month: profit for month, profit in found.items() if profit is not None}

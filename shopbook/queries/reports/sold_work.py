"""What the invoices of some days brought, and what those jobs and the jobs that nobody pays for cost."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from shopbook.queries.money.costs import list_costs
from shopbook.queries.reports.hours_sold import list_hours_sold
from shopbook.queries.reports.month_jobs import Span, list_invoiced
from shopbook.queries.reports.work_in_progress import costs_by_job, follow_jobs, owners_part
from shopbook.queries.shelf.movements import stock_sums
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind
from shopbook.trade.results.break_even import SoldWork, sold_work
from shopbook.trade.results.profit import MonthEarnings, losses_of, month_profit


@dataclass(frozen=True, slots=True)
class SoldReading:
    """What was sold, and what the shelf lost that no job carries, in minor units."""

    sold: SoldWork
    shelf_minor: int


def read_sold(shop: ShopOn, first: date, last: date) -> SoldReading:
    """The days from `first`, a month's first, to `last`: what is set against their sales, and what is lost, by the rule
    of `trade/results/work_in_progress.py`. A fixed number of statements.
    """
    session = shop.session
    spent = list_costs(session, first=first, last=last)
    followed = follow_jobs(shop, first, last, spent)
    earned = month_profit(0, costs_by_job(followed).values())
    by_kind: dict[LineKind, int] = {}
    for row in list_invoiced(session, Span(first, last)):
        by_kind[row.kind] = by_kind.get(row.kind, 0) + row.net_minor
    owner_labour = owners_part(shop, followed)
    minutes, stock = sum(list_hours_sold(session, first, last).values()), stock_sums(session, first, last)
    on_no_job = stock.issued_to_supplies_minor - sum(line.costs.supplies_minor for line in spent)
    return SoldReading(sold_of(minutes, by_kind, earned, owner_labour), losses_of(stock, on_no_job).total_minor)


def sold_of(minutes: int, by_kind: Mapping[LineKind, int], earned: MonthEarnings, owner_labour_minor: int) -> SoldWork:
    """What was sold: hours, sales by kind of line, and the cost of what a month earned."""
    lost = earned.apart_minor
    return sold_work(minutes, by_kind, earned.costs, lost_minor=lost, owner_labour_minor=owner_labour_minor)

"""A month read once, for its page, its files, the command line and its closing alike."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import list_jobs_by_number
from shopbook.queries.money.owed import owed_as_of
from shopbook.queries.money.quotes import QuoteMonth, quote_months
from shopbook.queries.reports.month import get_month_end, list_month_costs
from shopbook.queries.reports.put_right import PutRight, list_put_right
from shopbook.queries.reports.taken_back import TakenBack, list_taken_back
from shopbook.queries.reports.work_in_progress import follow_month, read_work
from shopbook.queries.shelf.movements import below_zero
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.results.kept_month import month_numbers, profit_numbers, work_numbers
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.profit import MonthEarnings, losses_of, month_profit
from shopbook.trade.results.work_in_progress import WorkInProgress
from shopbook.trade.stock.below_zero import BelowZero


@dataclass(frozen=True, slots=True)
class WholeMonth:
    """All that is said of a month; `jobs` are those of its figures, by number, `owed` is as of `owed_on`."""

    month: str
    first: date
    last: date
    today: date
    figures: MonthEnd
    work: WorkInProgress
    profit: MonthEarnings
    below_zero: BelowZero
    owed: Ageing
    owed_on: date
    jobs: Mapping[int, Job]
    put_right: Sequence[PutRight]
    taken_back: Sequence[TakenBack]
    quotes: QuoteMonth | None

    @property
    def numbers(self) -> dict[str, int]:
        """What a closing keeps of it, by name."""
        return month_numbers(self.figures, self.owed) | profit_numbers(self.profit) | work_numbers(self.work)


def read_month(shop: ShopOn, month: str) -> WholeMonth:
    """A month ("2026-11") as it stands, seen from the shop's day; a fixed number of statements whatever it holds."""
    session, (first, last) = shop.session, month_bounds(month)
    costs = list_month_costs(session, month)
    followed = follow_month(shop, month, costs)
    figures = get_month_end(session, month, costs, shop, followed.before_by_number)
    work = read_work(shop, month, followed)
    losses = losses_of(figures.stock, figures.supplies_on_no_job_minor)
    return WholeMonth(
        month=month,
        first=first,
        last=last,
        today=shop.day,
        figures=figures,
        work=work,
        profit=month_profit(figures.net_minor, work.jobs.values(), losses),
        below_zero=below_zero(session, last),
        owed=owed_as_of(session, min(last, shop.day)),
        owed_on=min(last, shop.day),
        jobs=list_jobs_by_number(session, map(int, figures.by_job)),
        put_right=list_put_right(session, costs),
        taken_back=list_taken_back(session, first, last),
        quotes=next(iter(quote_months(session, first, last)), None),
    )

"""The month put together in words: its sentences and sections in the order in which they are read."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.documents.month import figures, profit, work_in_progress
from shopbook.documents.month.section import Section
from shopbook.documents.month.sentences import Left, Shortfalls, three_sentences
from shopbook.documents.month.wording import MonthWording
from shopbook.documents.month_end import MonthPaper
from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.measures.days import DateForm, format_day, format_month, month_bounds, month_name, month_shifted
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.profit import MonthEarnings
from shopbook.trade.results.work_in_progress import WorkInProgress
from shopbook.trade.stock.below_zero import BelowZero

NOTES = (
    "Invoices, clocked hours and stock movements count on the day they were entered.",
    "Only the cost of the jobs invoiced stands against sales. What the others have cost so far is work in progress.",
    "Changes in the average cost of stock are in no job's margin.",
)


@dataclass(frozen=True, slots=True)
class MonthFacts:
    """Who and when, for the head of the paper; `today` is the day it is made, `month` is "2026-11"."""

    shop: str
    currency: str
    paper_size: str
    today: date
    month: str
    date_form: DateForm
    money: Callable[[int], str]
    """Minor units of the book's currency without its sign."""
    sum_of: Callable[[int], str]
    """The same with its sign."""
    locale: str = ENGLISH
    say: Callable[[str], str] = str
    """A sentence of ours in the words of the shop's country."""

    def near(self, day: date) -> str:
        """A day of the paper, its year unsaid: "November 30"."""
        return format_day(day, self.date_form, is_long=True, this_year=day.year)

    @property
    def wording(self) -> MonthWording:
        """How the parts of this month are written."""
        first, last = month_bounds(self.month)
        return MonthWording(
            month=month_name(self.month),
            next_month=month_name(month_shifted(self.month, 1)),
            first=self.near(first),
            last=self.near(last),
            money=self.money,
            sum_of=self.sum_of,
            say=self.say,
        )


@dataclass(frozen=True, slots=True)
class MonthSums:
    """What a month is put into words from; `cars` are named by the number of their job, `owed` is as of `owed_on`."""

    figures: MonthEnd
    work: WorkInProgress
    profit: MonthEarnings
    below_zero: BelowZero
    owed: Ageing
    owed_on: date
    cars: Mapping[str, str]
    left: Left | None = None
    short: Shortfalls | None = None


def month_paper(facts: MonthFacts, sums: MonthSums, more: Sequence[Section] = ()) -> MonthPaper:
    """The month in text; `more` are sections that are put into words elsewhere, and stand before the jobs."""
    wording, end = facts.wording, sums.figures
    movement, state, by_job = work_in_progress.sections(sums.work, wording)
    sections = (
        profit.section(sums.profit, wording),
        movement,
        state,
        figures.hours_section(end.hours),
        figures.owed_section(sums.owed, facts.near(sums.owed_on), wording),
        figures.sales_section(end.by_kind, wording),
        figures.spent_section(end.all_jobs.costs, wording),
        figures.stock_section(end.stock, sums.below_zero, wording),
        figures.tax_section(end.taxes, wording),
        *more,
        by_job,
        figures.jobs_section(end, sums.cars, wording),
    )
    return MonthPaper(
        shop=facts.shop,
        month=format_month(facts.month),
        made=format_day(facts.today, facts.date_form),
        currency=facts.currency,
        paper_size=facts.paper_size,
        sentences=three_sentences(sums.left, sums.profit, sums.short, sums.work, wording),
        sections=sections,
        faults=end.faults,
        notes=[*map(facts.say, (*_supplies_note(end, facts.money), *NOTES))],
        locale=facts.locale,
    )


def _supplies_note(figures: MonthEnd, money: Callable[[int], str]) -> list[str]:
    """That no job's row carries the shop supplies of a month without any hours on cars."""
    left = figures.supplies_on_no_job_minor
    return [f"Nobody clocked on to a car, so {money(left)} of {{supplies}} is in no job's row."] if left else []

"""The month put together in words: its sentences and sections in the order in which they are read."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.documents.month import figures, profit, work_in_progress
from shopbook.documents.month import owed as owed_words
from shopbook.documents.month import paid as paid_words
from shopbook.documents.month import tax as tax_words
from shopbook.documents.month.house_costs import break_even_section, owners_words
from shopbook.documents.month.profit import House
from shopbook.documents.month.section import Section
from shopbook.documents.month.sentences import Shortfalls, WhatIsLeft, three_sentences
from shopbook.documents.month.tax import TaxWording
from shopbook.documents.month.wording import MonthWording
from shopbook.documents.month.worst import worst_section
from shopbook.documents.month_end import MonthPaper
from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.measures.days import DateForm, format_day, format_month, month_bounds, month_name, month_shifted
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.results.break_even import PaintHours
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.paid import Paid
from shopbook.trade.results.profit import MonthEarnings
from shopbook.trade.results.tax_span import SpanTax
from shopbook.trade.results.work_in_progress import WorkInProgress
from shopbook.trade.results.worst_jobs import InvoicedJob, sum_short
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
    """What a month is put into words from; `cars` are named by the number of their job, `owed` is as of `until`."""

    figures: MonthEnd
    work: WorkInProgress
    profit: MonthEarnings
    house: House
    worst: Sequence[InvoicedJob]
    paint: PaintHours
    below_zero: BelowZero
    owed: Ageing
    paid: Paid
    tax: SpanTax
    until: date
    cars: Mapping[str, str]

    @property
    def left(self) -> WhatIsLeft:
        """What is left, for the first sentence."""
        even = self.house.even
        owner = owners_words(self.house.wages)
        return WhatIsLeft(even.profit_minor, even.after_pay_minor, owner, has_fixed=bool(self.house.fixed))

    @property
    def short(self) -> Shortfalls | None:
        """How many fell short of plan; None where of no job invoiced a plan is known."""
        sums = sum_short(self.worst)
        return Shortfalls(sums.short, sums.total_minor) if sums.jobs else None


def month_paper(facts: MonthFacts, sums: MonthSums, taxes: TaxWording, more: Sequence[Section] = ()) -> MonthPaper:
    """The month in text; `more` are sections that are put into words elsewhere, and stand before the jobs."""
    wording = facts.wording
    return MonthPaper(
        shop=facts.shop,
        month=format_month(facts.month),
        made=format_day(facts.today, facts.date_form),
        currency=facts.currency,
        paper_size=facts.paper_size,
        sentences=three_sentences(sums.left, sums.profit, sums.short, sums.work, wording),
        sections=(*_first(facts, sums, wording), *_money(facts, sums, wording, taxes), *_depth(sums, wording, more)),
        faults=sums.figures.faults,
        notes=[*map(facts.say, (*_supplies_note(sums.figures, facts.money), *NOTES))],
        locale=facts.locale,
    )


def _first(facts: MonthFacts, sums: MonthSums, wording: MonthWording) -> list[Section]:
    """From sales to what is left, the cars not invoiced, hours, and the jobs that fell short of plan."""
    movement, state, _ = work_in_progress.sections(sums.work, wording)
    return [
        profit.section(sums.profit, wording, sums.house),
        movement,
        state,
        figures.hours_section(
            sums.figures.hours, break_even_section(sums.house.even, sums.house.wages, sums.paint, wording)
        ),
        worst_section(sums.worst, sums.cars, wording.sum_of, wording.money, facts.say),
    ]


def _money(facts: MonthFacts, sums: MonthSums, wording: MonthWording, taxes: TaxWording) -> list[Section]:
    """What is owed on the last day, what was paid, and tax on the shop's basis."""
    (owed,) = owed_words.sections(sums.owed, facts.near(sums.until), wording.money, facts.say)
    return [owed, *paid_words.sections(sums.paid, wording.money, facts.say), *tax_words.sections(sums.tax, taxes)]


def _depth(sums: MonthSums, wording: MonthWording, more: Sequence[Section]) -> list[Section]:
    """What stands one press away."""
    end = sums.figures
    return [
        figures.sales_section(end.by_kind, wording),
        figures.spent_section(end.all_jobs.costs, wording),
        figures.stock_section(end.stock, sums.below_zero, wording),
        *more,
        work_in_progress.sections(sums.work, wording)[2],
        figures.jobs_section(end, sums.cars, wording),
    ]


def _supplies_note(figures: MonthEnd, money: Callable[[int], str]) -> list[str]:
    """That no job's row carries the shop supplies of a month without any hours on cars."""
    left = figures.supplies_on_no_job_minor
    return [f"Nobody clocked on to a car, so {money(left)} of {{supplies}} is in no job's row."] if left else []

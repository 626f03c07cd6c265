"""From sales to gross profit to what is left, in words: each row takes something off the one above it."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.documents.month.house_costs import house_rows, left_rows
from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.wording import MonthWording, counted, listed
from shopbook.trade.results.break_even import BreakEven
from shopbook.trade.results.card_fees import MeansFees
from shopbook.trade.results.margin import share_words
from shopbook.trade.results.paid_hours import Wages
from shopbook.trade.results.profit import MonthEarnings


@dataclass(frozen=True, slots=True)
class House:
    """What a month cost beside its cars, as `queries/reports/break_even.py` reads it."""

    wages: Wages
    fixed: Sequence[tuple[str, int]]
    fees: Sequence[MeansFees]
    even: BreakEven
    owner_labour_minor: int


def section(profit: MonthEarnings, wording: MonthWording, house: House | None = None) -> Section:
    """Sales less the cost of the jobs invoiced is gross profit; less the cost of cars that no invoice takes, what the
    house costs and what the shelf lost is net profit."""
    rows = [*_gross(profit, wording), *_apart(profit, wording)]
    if house is not None:
        rows += house_rows(house.wages, house.fixed, house.fees, wording)
    rows += _losses(profit, wording)
    if house is not None:
        rows += left_rows(house.even, house.wages, house.owner_labour_minor, wording)
    return Section("profit", "From sales to net profit", tuple(rows), note=_missing(house))


def _missing(house: House | None) -> str:
    unknown = house.wages.unknown if house is not None else ()
    return (
        f"Enter the paid hours and cost per hour of {listed(unknown)} to see what is left after own pay."
        if unknown
        else ""
    )


def _gross(profit: MonthEarnings, wording: MonthWording) -> list[SectionRow]:
    costs, say = profit.costs, wording.say
    taken = (
        ("labour", say("{Labour} on these jobs"), costs.labour_minor),
        ("materials", say("Materials and {supplies}"), costs.materials_minor + costs.supplies_minor),
        ("bought", "Parts, mixed paint and sublet work", costs.parts_minor + costs.sublet_minor),
        *([("reworked", "Rework on these jobs", costs.rework_minor)] if costs.rework_minor else []),
    )
    sales, jobs = wording.money(profit.sales_minor), counted(profit.jobs, "job")
    share = share_words(profit.gross.share_permille)
    return [
        SectionRow("sales", "Sales, before tax", (sales,), jobs),
        *(SectionRow(code, label, (wording.less(minor),)) for code, label, minor in taken),
        SectionRow("gross_profit", "Gross profit", (wording.money(profit.gross.margin_minor),), share),
    ]


def _apart(profit: MonthEarnings, wording: MonthWording) -> list[SectionRow]:
    """Cars that cost something and that no invoice of the month takes; zero is left out, but for rework."""
    cancelled = wording.say("{Cancelled} jobs")
    rows = (
        ("rework", "Rework at our cost", profit.rework_minor),
        ("goodwill", "Goodwill", profit.goodwill_minor),
        ("own_cars", "Our own cars", profit.own_cars_minor),
        ("cancelled", cancelled, profit.cancelled_minor),
        ("later_cost", "Work after an invoice", profit.later_minor),
    )
    return [SectionRow(code, label, (wording.less(minor),)) for code, label, minor in rows if minor or code == "rework"]


def _losses(profit: MonthEarnings, wording: MonthWording) -> list[SectionRow]:
    losses = profit.losses
    parts = (
        (wording.say("{supplies}"), losses.supplies_minor),
        ("waste", losses.wasted_minor),
        ("counts", losses.counted_minor),
        ("prices", losses.variance_minor),
    )
    below = " · ".join(f"{word} {wording.money(minor)}" for word, minor in parts if minor)
    return [SectionRow("losses", "Stock that no job carries", (wording.less(losses.total_minor),), below)]

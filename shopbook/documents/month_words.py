"""The month's figures put into words for paper, table and screen."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from shopbook.documents.month_end import JOB_COLUMNS, JOB_HEADS, JOBS_NOTE, MonthJob, MonthPaper
from shopbook.trade.billing import LineKind, rate_words
from shopbook.trade.billing.ageing import AgeBand, Ageing
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.days import format_month
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.results.margin import Margin, share_words
from shopbook.trade.results.month import JobMonth, MonthEnd, StockSums

KIND_WORDS = {
    LineKind.LABOUR: "{Labour}",
    LineKind.MATERIALS: "Materials",
    LineKind.PART: "Parts",
    LineKind.COLOUR: "Paint mixed for this car",
    LineKind.SUBLET: "Sublet work",
    LineKind.FEE: "Fees",
    LineKind.SAVING: "Savings on several panels at once",
    LineKind.DISCOUNT: "Discounts",
    LineKind.DEPOSIT: "Deposits, less those used",
}
BAND_WORDS = {
    AgeBand.CURRENT: "Not yet due",
    AgeBand.TO_30: "1 to 30 days",
    AgeBand.TO_60: "31 to 60 days",
    AgeBand.TO_90: "61 to 90 days",
    AgeBand.OVER_90: "Over 90 days",
}
NOTES = (
    "Invoices, clocked hours and stock movements count on the day they were entered. The tax rate is that of the day "
    "of supply. Tax paid on purchases is not included.",
    "Hours sold are the {labour} invoiced, divided by the shop’s hourly rate for body work. The break-even is the "
    "figure in Settings, or nine tenths of that rate if none is set. Wages per hour are all paid hours at cost, "
    "divided by the hours on cars. Rent, power and your own pay are not included.",
    "Changes in the average cost of stock have a line of their own and are in no job's margin.",
)


@dataclass(frozen=True, slots=True)
class MonthFacts:
    """Who and when, for the head of the paper."""

    shop: str
    currency: str
    paper_size: str
    made: str
    month: str
    locale: str = ENGLISH
    say: Callable[[str], str] = str
    """A sentence of ours in the words of the shop's country."""


def month_paper(
    facts: MonthFacts,
    figures: MonthEnd,
    owed: Ageing,
    money: Callable[[int], str],
    cars: Mapping[str, str],
) -> MonthPaper:
    """The month end in text; `money` writes minor units of the book's currency without its sign, `cars` are by job."""
    total, say = figures.all_jobs, facts.say
    return MonthPaper(
        shop=facts.shop,
        month=format_month(facts.month),
        made=facts.made,
        currency=facts.currency,
        paper_size=facts.paper_size,
        summary=_said(say, _summary(figures, money)),
        kinds=[(say(KIND_WORDS[kind]), money(net)) for kind, net in figures.by_kind.items()]
        + [("Total", money(figures.net_minor))],
        taxes=[
            (f"{row.name}, {rate_words(row.rate_thousandths)}", money(row.basis_minor), money(row.tax_minor))
            for row in figures.taxes
        ],
        taxes_last=(
            "Total",
            money(sum(row.basis_minor for row in figures.taxes)),
            money(figures.tax_minor),
        ),
        costs=_said(say, _costs(total, money)),
        hours=_hours(figures),
        shelf=_said(say, _shelf(figures.stock, money)),
        owed=[(BAND_WORDS[band], money(amount)) for band, amount in owed.by_band.items()]
        + [("Customer credits", money(-owed.on_account_minor)), ("Total", money(owed.total_minor))],
        jobs=_jobs(figures, money, cars),
        jobs_last=replace(_job("Total", "", figures.together, money), share=""),
        notes=[*figures.faults, *map(say, (*_supplies_note(figures, money), *NOTES))],
        job_heads=[*map(say, JOB_HEADS)],
        job_columns=[*map(say, JOB_COLUMNS)],
        jobs_note=say(JOBS_NOTE),
        ageing_word=say("{Ageing}"),
        locale=facts.locale,
    )


def _said(say: Callable[[str], str], rows: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Rows with their labels in the words of the country."""
    return [(say(label), figure) for label, figure in rows]


def _supplies_note(figures: MonthEnd, money: Callable[[int], str]) -> list[str]:
    """That no job's row carries the shop supplies of a month without any hours on cars."""
    left = figures.supplies_on_no_job_minor
    return [f"Nobody clocked on to a car, so {money(left)} of {{supplies}} is in no job's row."] if left else []


def _summary(figures: MonthEnd, money: Callable[[int], str]) -> list[tuple[str, str]]:
    hours = figures.hours
    return [
        ("Sales, before tax", money(figures.net_minor)),
        ("Tax charged", money(figures.tax_minor)),
        ("Sales, with tax", money(figures.gross_minor)),
        ("Gross profit", money(figures.all_jobs.margin_minor)),
        ("Gross profit, share of sales", share_words(figures.all_jobs.share_permille)),
        ("Break-even per hour sold", money(hours.must_bring_minor)),
        ("Wages per hour on cars", money(hours.people_minor) if hours.people_minor is not None else "–"),
    ]


def _costs(total: Margin, money: Callable[[int], str]) -> list[tuple[str, str]]:
    costs = total.costs
    return [
        ("{Labour} on cars", money(costs.labour_minor)),
        ("Materials", money(costs.materials_minor)),
        ("{Supplies}", money(costs.supplies_minor)),
        ("Parts and mixed paint", money(costs.parts_minor)),
        ("Sublet work", money(costs.sublet_minor)),
        ("Rework", money(costs.rework_minor)),
        ("Total", money(costs.total_minor)),
    ]


def _hours(figures: MonthEnd) -> list[tuple[str, str]]:
    hours = figures.hours
    return [
        ("Paid time", to_tenths(hours.here_minutes)),
        ("On cars", to_tenths(hours.on_cars_minutes)),
        ("Not on cars", to_tenths(hours.to_place_minutes)),
        ("Sold", to_tenths(hours.sold_minutes)),
        ("Paid time spent on cars", share_words(hours.use_permille)),
        ("Time on cars that was billed", share_words(hours.sold_permille)),
    ]


def _shelf(stock: StockSums, money: Callable[[int], str]) -> list[tuple[str, str]]:
    return [
        ("Opening", money(stock.opening_minor)),
        ("Received", money(stock.came_minor)),
        ("Issued to jobs", money(-stock.issued_to_jobs_minor)),
        ("Used as {supplies}", money(-stock.issued_to_supplies_minor)),
        ("Wasted", money(-stock.wasted_minor)),
        ("Count differences", money(stock.counted_minor)),
        ("Cost adjustments", money(-stock.variance_minor)),
        ("Closing", money(stock.closing_minor)),
    ]


def _jobs(figures: MonthEnd, money: Callable[[int], str], cars: Mapping[str, str]) -> list[MonthJob]:
    """Jobs that are done before those in hand, each by number."""
    rows = sorted(figures.by_job.items(), key=lambda row: (row[1].is_in_hand, int(row[0])))
    return [_job(number, cars.get(number, ""), job, money) for number, job in rows]


def _job(number: str, car: str, job: JobMonth, money: Callable[[int], str]) -> MonthJob:
    before, costs, whole = job.before, job.month.costs, job.whole
    return MonthJob(
        number=number,
        car=car,
        invoiced_before=money(before.revenue_minor),
        cost_before=money(before.costs.total_minor),
        before=money(before.margin_minor),
        invoiced=money(job.month.revenue_minor),
        labour=money(costs.labour_minor),
        materials=money(costs.materials_minor),
        floor=money(costs.supplies_minor),
        other=money(costs.parts_minor + costs.sublet_minor),
        rework=money(costs.rework_minor),
        earned=money(whole.margin_minor),
        share=share_words(whole.share_permille) if whole.revenue_minor and not job.is_in_hand else "",
        is_in_hand=job.is_in_hand,
    )

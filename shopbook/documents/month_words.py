"""The month's figures put into words for paper, table and screen."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from shopbook.documents.month_end import MonthJob, MonthPaper
from shopbook.trade.billing import LineKind, rate_words
from shopbook.trade.billing.ageing import AgeBand, Ageing
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.days import format_month
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.results.margin import Margin, share_words
from shopbook.trade.results.month import JobMonth, MonthEnd, StockSums

KIND_WORDS = {
    LineKind.LABOUR: "Labour",
    LineKind.MATERIALS: "Materials",
    LineKind.PART: "Parts",
    LineKind.COLOUR: "Colour bought for the job",
    LineKind.SUBLET: "Sublet work",
    LineKind.FEE: "Fees",
    LineKind.SAVING: "Savings of further panels",
    LineKind.DISCOUNT: "Discounts",
    LineKind.DEPOSIT: "Deposits and their deduction",
}
BAND_WORDS = {
    AgeBand.CURRENT: "Not yet due",
    AgeBand.TO_30: "1 to 30 days",
    AgeBand.TO_60: "31 to 60 days",
    AgeBand.TO_90: "61 to 90 days",
    AgeBand.OVER_90: "Over 90 days",
}
NOTES = (
    "Papers, clocks and movements count by the shop's own day on which they were written; a paper's tax rate is that "
    "of its day of supply. Tax paid on purchases is not in here: ask your accountant.",
    "Hours sold are the labour invoiced over the shop's rate of an hour of body work. What an hour must bring is the "
    "figure in Settings, until it is said nine tenths of that rate. The people of an hour on a car cost what all paid "
    "hours cost over the hours on cars; rent, power and the owner's living come on top.",
    "True-up and variance of the shelf's average cost stand on their own line and in no job's margin.",
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


def month_paper(
    facts: MonthFacts,
    figures: MonthEnd,
    owed: Ageing,
    money: Callable[[int], str],
    cars: Mapping[str, str],
) -> MonthPaper:
    """The month end in text; `money` writes minor units of the book's currency without its sign, `cars` are by job."""
    total = figures.all_jobs
    return MonthPaper(
        shop=facts.shop,
        month=format_month(facts.month),
        made=facts.made,
        currency=facts.currency,
        paper_size=facts.paper_size,
        summary=_summary(figures, money),
        kinds=[(KIND_WORDS[kind], money(net)) for kind, net in figures.by_kind.items()]
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
        costs=_costs(total, money),
        hours=_hours(figures),
        shelf=_shelf(figures.stock, money),
        owed=[(BAND_WORDS[band], money(amount)) for band, amount in owed.by_band.items()]
        + [("Held on account", money(-owed.on_account_minor)), ("Total", money(owed.total_minor))],
        jobs=_jobs(figures, money, cars),
        jobs_last=replace(_job("Total", "", figures.together, money), share=""),
        notes=[*figures.faults, *_supplies_note(figures, money), *NOTES],
        locale=facts.locale,
    )


def _supplies_note(figures: MonthEnd, money: Callable[[int], str]) -> list[str]:
    """That no job's row carries the shop floor of a month in which no clock ran on a car."""
    left = figures.supplies_on_no_job_minor
    return [f"No clock ran on a car: the {money(left)} opened for the shop floor is in no job's row."] if left else []


def _summary(figures: MonthEnd, money: Callable[[int], str]) -> list[tuple[str, str]]:
    hours = figures.hours
    return [
        ("Invoiced, before tax", money(figures.net_minor)),
        ("Tax charged", money(figures.tax_minor)),
        ("Invoiced, with tax", money(figures.gross_minor)),
        ("Margin", money(figures.all_jobs.margin_minor)),
        ("Margin, share", share_words(figures.all_jobs.share_permille)),
        ("An hour must bring", money(hours.must_bring_minor)),
        ("The people of an hour on a car", money(hours.people_minor) if hours.people_minor is not None else "–"),
    ]


def _costs(total: Margin, money: Callable[[int], str]) -> list[tuple[str, str]]:
    costs = total.costs
    return [
        ("Labour on cars", money(costs.labour_minor)),
        ("Materials", money(costs.materials_minor)),
        ("Shop floor", money(costs.supplies_minor)),
        ("Parts and colour", money(costs.parts_minor)),
        ("Sublet work", money(costs.sublet_minor)),
        ("Put right", money(costs.rework_minor)),
        ("Total", money(costs.total_minor)),
    ]


def _hours(figures: MonthEnd) -> list[tuple[str, str]]:
    hours = figures.hours
    return [
        ("Here", to_tenths(hours.here_minutes)),
        ("On cars", to_tenths(hours.on_cars_minutes)),
        ("Not on a car", to_tenths(hours.to_place_minutes)),
        ("Sold", to_tenths(hours.sold_minutes)),
        ("On cars ÷ here", share_words(hours.use_permille)),
        ("Sold ÷ on cars", share_words(hours.sold_permille)),
    ]


def _shelf(stock: StockSums, money: Callable[[int], str]) -> list[tuple[str, str]]:
    return [
        ("Opening", money(stock.opening_minor)),
        ("Received", money(stock.came_minor)),
        ("Issued to jobs", money(-stock.issued_to_jobs_minor)),
        ("Opened for the shop floor", money(-stock.issued_to_supplies_minor)),
        ("Wasted", money(-stock.wasted_minor)),
        ("Counted more or less", money(stock.counted_minor)),
        ("True-up and variance", money(-stock.variance_minor)),
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

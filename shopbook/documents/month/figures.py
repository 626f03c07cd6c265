"""The rest of a month in words: sales and cost by kind, hours, tax, the shelf, what is owed, and its jobs."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.wording import MonthWording, counted
from shopbook.trade.billing import LineKind
from shopbook.trade.billing.ageing import AgeBand
from shopbook.trade.floor.hours import sum_in_tenths, to_tenths
from shopbook.trade.results.margin import Costs, share_words
from shopbook.trade.results.month import Hours, JobMonth, MonthEnd, StockSums
from shopbook.trade.stock.below_zero import BelowZero

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
JOB_HEADS = (
    "Job",
    "Brought forward",
    "Invoiced",
    "{Labour}",
    "Materials",
    "{Supplies}",
    "Parts, sublet",
    "Rework",
    "Whole job",
    "%",
)
JOBS_NOTE = (
    "Brought forward is what a job was invoiced before this month, less what it cost. The next six columns are sales "
    "and costs of this month. All seven add up to the whole job, from its first day to the end of the month. A job in "
    "progress is not invoiced yet: it shows its cost so far. {Supplies}: the job's share, by hours, of the tape, "
    "wipes, discs and the like opened in the month. Rework includes everything spent on a car that came back, its "
    "parts and {supplies} too."
)


def sales_section(by_kind: Mapping[LineKind, int], wording: MonthWording) -> Section:
    """Sales before tax by kind of line."""
    rows = [_row(str(kind), wording.say(KIND_WORDS[kind]), wording.money(net)) for kind, net in by_kind.items()]
    return Section("invoiced", "Sales, before tax", tuple(rows), _total(wording.money(sum(by_kind.values()))))


def spent_section(costs: Costs, wording: MonthWording) -> Section:
    """All that cars cost in the month, invoiced or not."""
    say, money = wording.say, wording.money
    rows = (
        _row("labour", say("{Labour} on cars"), money(costs.labour_minor)),
        _row("materials", "Materials", money(costs.materials_minor)),
        _row("supplies", say("{Supplies}"), money(costs.supplies_minor)),
        _row("parts", "Parts and mixed paint", money(costs.parts_minor)),
        _row("sublet", "Sublet work", money(costs.sublet_minor)),
        _row("rework", "Rework", money(costs.rework_minor)),
    )
    title = f"Spent on cars in {wording.month}"
    return Section("cost", title, rows, _total(money(costs.total_minor)), note="Whether they are invoiced yet or not.")


def hours_section(hours: Hours, even: Section) -> Section:
    """Paid time, what of it was on cars and was sold, then what an hour brought and had to bring: the rows of `even`
    (`house_costs.py: break_even_section`), the first of them what was paid."""
    paid, *others = even.rows
    here = (
        _row("here", "Here", to_tenths(hours.here_minutes)),
        SectionRow(
            "on_cars", "On cars", (to_tenths(hours.on_cars_minutes),), _of_whole(hours.use_permille, "paid time")
        ),
        _row("to_place", "Not on cars", sum_in_tenths(hours.here_minutes, -hours.on_cars_minutes)),
    )
    sold = [_sold(row, hours) if row.code == "hours_sold" else row for row in others]
    return Section("hours", "Hours", (paid, *here, *sold), note=even.note)


def _sold(row: SectionRow, hours: Hours) -> SectionRow:
    return replace(row, below=_of_whole(hours.sold_permille, "time on cars"))


def _of_whole(permille: int | None, whole: str) -> str:
    return f"{share_words(permille)} of {whole}" if permille is not None else ""


def stock_section(stock: StockSums, below: BelowZero, wording: MonthWording) -> Section:
    """The shelf from the first day to the last; what the book says is below zero stands apart."""
    say, money = wording.say, wording.money
    rows = [
        _row("opening", f"{wording.first}", money(stock.opening_minor)),
        _row("received", "Received", money(stock.came_minor)),
        _row("issued_to_jobs", "Issued to jobs", money(-stock.issued_to_jobs_minor)),
        _row("issued_to_supplies", say("Used as {supplies}"), money(-stock.issued_to_supplies_minor)),
        _row("wasted", "Wasted", money(-stock.wasted_minor)),
        _row("counted", "Count differences", money(stock.counted_minor)),
        _row("variance", "Cost adjustments", money(-stock.variance_minor)),
    ]
    if below.materials:
        rows.append(
            _row("below_zero", f"Below zero, {counted(below.materials, 'material')}", money(-below.value_minor))
        )
    on_shelf = stock.closing_minor - below.value_minor
    label = f"{wording.last}, on the shelf" if below.materials else wording.last
    note = "What the book says is below zero was used and never entered: count it." if below.materials else ""
    return Section("stock", "Stock, at cost", tuple(rows), SectionRow("closing", label, (money(on_shelf),)), note=note)


def jobs_section(figures: MonthEnd, cars: Mapping[str, str], wording: MonthWording) -> Section:
    """Jobs that are done before those in progress, each by number; `cars` are by job."""
    jobs = sorted(figures.by_job.items(), key=lambda row: (row[1].is_in_hand, int(row[0])))
    rows = [
        SectionRow(f"job_{number}", number, _job(job, wording.money), _of(job, cars.get(number, "")))
        for number, job in jobs
    ]
    total = SectionRow("total", "Total", (*_job(figures.together, wording.money)[:-1], ""))
    heads, note = tuple(map(wording.say, JOB_HEADS)), wording.say(JOBS_NOTE)
    title = f"Jobs of {wording.month}"
    if not jobs:
        return Section("jobs", title, (), note="No job was invoiced or worked on this month.")
    return Section("jobs", title, tuple(rows), total, heads, note)


def _of(job: JobMonth, car: str) -> str:
    return " · ".join(filter(None, (car, "in progress" if job.is_in_hand else "")))


def _job(job: JobMonth, money: Callable[[int], str]) -> tuple[str, ...]:
    """The figures of a job; zero is left empty, but for the whole job."""
    costs, whole = job.month.costs, job.whole
    sums = (
        job.before.margin_minor,
        job.month.revenue_minor,
        costs.labour_minor,
        costs.materials_minor,
        costs.supplies_minor,
        costs.parts_minor + costs.sublet_minor,
        costs.rework_minor,
    )
    share = share_words(whole.share_permille).removesuffix(" %") if whole.revenue_minor and not job.is_in_hand else ""
    return (*(money(minor) if minor else "" for minor in sums), money(whole.margin_minor), share)


def counts_section(code: str, title: str, rows: Iterable[tuple[str, int]]) -> Section:
    """Plain counts: so many given, so many won."""
    return Section(
        code, title, tuple(_row(f"{code}_{place}", label, str(count)) for place, (label, count) in enumerate(rows, 1))
    )


def _row(code: str, label: str, figure: str) -> SectionRow:
    return SectionRow(code, label, (figure,))


def _total(figure: str) -> SectionRow:
    return SectionRow("total", "Total", (figure,))

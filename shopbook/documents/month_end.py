"""The month on paper, and as a table for the accountant."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from io import StringIO

from reportlab.platypus import CondPageBreak, Flowable

from shopbook.documents.page import gap, make_file, side_by_side, table, titled, words
from shopbook.trade.measures.locales import ENGLISH, marks_of, read_number

HEADING_AND_A_FEW_ROWS = 110
"""Points of height under which a table begins on the next page."""

TAKEN_BACK = "Credits, refunds and write-offs"
TAKEN_BACK_COLUMNS = ("by", "day", "what", "reason", "amount")

JOB_HEADS = (
    "Brought forward",
    "Invoiced",
    "{Labour}",
    "Materials",
    "{Supplies}",
    "Parts, sublet",
    "Rework",
    "Whole job",
)
JOBS_NOTE = (
    "Brought forward is what a job was invoiced before this month, less what it cost. The next six columns are sales "
    "and costs of this month. All seven add up to the whole job, from its first day to the end of the month. A job in "
    "progress is not invoiced yet: it shows its cost so far. {Supplies}: the job's share, by hours, of the tape, "
    "wipes, discs and the like opened in the month. Rework includes everything spent on a car that came back, its "
    "parts and {supplies} too."
)


@dataclass(frozen=True, slots=True)
class MonthJob:
    """One job's row, amounts as text: brought forward, this month, and the whole job."""

    number: str
    car: str
    invoiced_before: str
    cost_before: str
    before: str
    invoiced: str
    labour: str
    materials: str
    floor: str
    other: str
    rework: str
    earned: str
    share: str = ""
    is_in_hand: bool = False

    @property
    def margin(self) -> str:
        """The whole job's margin with its share, or that it is in hand."""
        if self.is_in_hand:
            return f"{self.earned}, in progress"
        return f"{self.earned} ({self.share})" if self.share else self.earned

    @property
    def cells(self) -> tuple[str, ...]:
        """The row as it is read, under `JOB_HEADS`; zero is left empty."""
        sums = (self.before, self.invoiced, self.labour, self.materials, self.floor, self.other, self.rework)
        return (*(each if any(figure in "123456789" for figure in each) else "" for each in sums), self.margin)


@dataclass(frozen=True, slots=True)
class MonthPaper:
    """The month end on paper: blocks of label and figure, and the jobs; figures as text."""

    shop: str
    month: str
    made: str
    currency: str
    paper_size: str
    summary: Sequence[tuple[str, str]]
    kinds: Sequence[tuple[str, str]]
    taxes: Sequence[tuple[str, str, str]]
    taxes_last: tuple[str, str, str]
    costs: Sequence[tuple[str, str]]
    hours: Sequence[tuple[str, str]]
    shelf: Sequence[tuple[str, str]]
    owed: Sequence[tuple[str, str]]
    jobs: Sequence[MonthJob]
    jobs_last: MonthJob
    notes: Sequence[str]
    job_heads: Sequence[str]
    job_columns: Sequence[str]
    """The heads of the jobs in the table, one more for each part of what was brought forward."""
    jobs_note: str
    ageing_word: str
    """What the list of what is owed by days late is called here."""
    locale: str = ENGLISH
    """How its figures are written."""
    taken_back: Sequence[tuple[str, str, str, str, str]] = ()
    """Credits, refunds, money moved, reversals and write-offs: who, day, what, why, amount."""


def make_month_pdf(paper: MonthPaper) -> bytes:
    """The month end as a PDF."""
    story: list[Flowable] = [
        words(f"Month end {paper.month}", "title"),
        words(f"{paper.shop} · amounts in {paper.currency} · made {paper.made}", "small"),
        gap(),
        side_by_side(_block("The month", paper.summary), _summed("Sales, before tax", paper.kinds)),
        side_by_side(_summed("Cost", paper.costs), _block("Hours", paper.hours)),
        side_by_side(_summed("Stock, at cost", paper.shelf), _summed(f"{paper.ageing_word}, {paper.made}", paper.owed)),
        words("Tax charged", "heading"),
        table(
            ["Rate", "Before tax", "Tax"],
            [*paper.taxes, paper.taxes_last],
            ["50%", "25%", "25%"],
            figures=[1, 2],
            has_total=True,
        ),
        *_taken_back(paper),
        CondPageBreak(HEADING_AND_A_FEW_ROWS),
        words("Jobs of the month", "heading"),
        _jobs(paper),
        gap(),
        words(paper.jobs_note, "small"),
        gap(),
        *(words(note, "small") for note in paper.notes),
    ]
    return make_file(story, title=f"Month end {paper.month}", shop=paper.shop, paper_size=paper.paper_size)


def _taken_back(paper: MonthPaper) -> list[Flowable]:
    """Who gave, took or moved money back, and why; that there was none is said too."""
    head = [CondPageBreak(HEADING_AND_A_FEW_ROWS), words(TAKEN_BACK, "heading")]
    if not paper.taken_back:
        return [*head, words("None.")]
    rows = [(who, f"{what}, {day}", why, amount) for who, day, what, why, amount in paper.taken_back]
    return [*head, table(["By", "What", "Reason", "Amount"], rows, ["17%", "36%", "32%", "15%"], figures=[3])]


def _block(title: str, rows: Sequence[tuple[str, str]], *, is_summed: bool = False) -> list[Flowable]:
    return [words(title, "heading"), table(["", ""], rows, ["62%", "38%"], figures=[1], has_total=is_summed)]


def _summed(title: str, rows: Sequence[tuple[str, str]]) -> list[Flowable]:
    """A block whose last row is the sum of those above it."""
    return _block(title, rows, is_summed=True)


def _jobs(paper: MonthPaper) -> Flowable:
    if not paper.jobs:
        return words("No job was invoiced or worked on this month.")
    jobs = (*paper.jobs, paper.jobs_last)
    rows: list[list[Flowable | str]] = [[titled(job.number, job.car), *job.cells] for job in jobs]
    widths = ["10.5%", "12.5%", "11.5%", "11.5%", "9.5%", "10.5%", "9.5%", "8.5%", "16%"]
    return table(["Job", *paper.job_heads], rows, widths, figures=range(1, 9), has_total=True)


def make_month_csv(paper: MonthPaper) -> str:
    """The month end as comma-separated text: section, label, figures without a separator of thousands or a unit.

    A cell that a spreadsheet would run is kept as text by a leading apostrophe.
    """
    out, safe = StringIO(), partial(safe_cell, locale=paper.locale)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["section", "label", "amount", "tax"])
    blocks = (
        ("paper", (("Shop", paper.shop), ("Month", paper.month), ("Currency", paper.currency), ("Made", paper.made))),
        ("month", paper.summary),
        ("invoiced", paper.kinds),
        ("cost", paper.costs),
        ("hours", paper.hours),
        ("shelf", paper.shelf),
        ("owed", paper.owed),
    )
    for section, rows in blocks:
        for label, figure in rows:
            writer.writerow([section, *map(safe, _unit_apart(label, figure))])
    for label, basis, tax in (*paper.taxes, paper.taxes_last):
        writer.writerow(["tax", *map(safe, (label, basis, tax))])
    if paper.taken_back:
        writer.writerows([[], TAKEN_BACK_COLUMNS, *([safe(cell) for cell in row] for row in paper.taken_back)])
    writer.writerow([])
    writer.writerow(paper.job_columns)
    for job in (*paper.jobs, paper.jobs_last):
        writer.writerow([safe(cell) for cell in _job_cells(job)])
    writer.writerow(["note", paper.jobs_note])
    return out.getvalue()


def _unit_apart(label: str, figure: str) -> tuple[str, str]:
    """The unit goes to the label, so that hours and shares are numbers."""
    unit = next((unit for unit in (" h", " %") if figure.endswith(unit)), "")
    return (f"{label},{unit}", figure.removesuffix(unit)) if unit else (label, figure)


JOB_COLUMNS = (
    "job",
    "car",
    "invoiced before",
    "cost before",
    "invoiced",
    "{labour}",
    "materials",
    "{supplies}",
    "parts and sublet",
    "rework",
    "whole job",
    "share in %",
    "standing",
)


def _job_cells(job: MonthJob) -> tuple[str, ...]:
    """The row under `JOB_COLUMNS`, each part of what was brought forward on its own."""
    before = (job.number, job.car, job.invoiced_before, job.cost_before)
    month = (job.invoiced, job.labour, job.materials, job.floor, job.other, job.rework)
    return (*before, *month, job.earned, job.share.removesuffix(" %"), "in progress" if job.is_in_hand else "")


_RUN = frozenset("=+-@\t\r\n＝＋－＠")


def safe_cell(text: str, locale: str = ENGLISH) -> str:
    """A cell that no spreadsheet runs: what begins with = + - @, their wide forms, a tab or a new line, and is no
    number, gets an apostrophe (the list of OWASP's page on CSV injection).

    A number of the locale loses its separators of thousands and has a decimal point: else half the spreadsheets of the
    world read it as text.
    """
    plain, marks = text.replace("\u2212", "-"), marks_of(locale)
    if _is_number(plain.removeprefix("-"), locale):
        return plain.replace(marks.group, "").replace(marks.decimal, ".")
    return "'" + plain if plain[:1] in _RUN else plain


def _is_number(text: str, locale: str) -> bool:
    return set(text) <= {*"0123456789", *marks_of(locale)} and read_number(text, locale) is not None

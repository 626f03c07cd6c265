"""The month's paper and its figures for a spreadsheet: the same rows in both, a loss stays a number."""

import csv
import json
from dataclasses import replace
from io import BytesIO, StringIO

import pytest
from pypdf import PdfReader

from shopbook.documents.month.figures import JOB_HEADS
from shopbook.documents.month.kept import kept_paper, paper_kept
from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month_end import MonthPaper, make_month_csv, make_month_pdf, safe_cell
from shopbook.trade.countries import known_country

GB = known_country("gb")

LOSS = SectionRow(
    "job_12", "12", ("−40.00", "100.00", "50.00", "15.00", "5.00", "5.00", "", "−15.00", "−15.0"), "hatchback"
)
JOBS = Section(
    "jobs", "Jobs of October", (LOSS,), replace(LOSS, code="total", label="Total"), tuple(map(GB.say, JOB_HEADS))
)
HOURS = Section("hours", "Hours", (SectionRow("here", "Paid time", ("180.2 h",)),))
TAX = Section(
    "tax",
    "Tax charged",
    (),
    SectionRow("total", "Total", ("12,345.60", "987.65")),
    ("Kind", "Basis", "Tax"),
    "By date.",
)
WALK = Section(
    "profit",
    "From sales to net profit",
    (
        SectionRow("sales", "Sales, before tax", ("1,150.00",), "1 job"),
        SectionRow("gross_profit", "Gross profit", ("642.00",), "55.8 %"),
    ),
)
PAPER = MonthPaper(
    shop="Quarry Lane",
    month="October 2026",
    made="3 November 2026",
    currency="GBP",
    paper_size="a4",
    sentences=[("The one job invoiced made a gross profit of ", "£642.00, 55.8 %", ".")],
    sections=(WALK, HOURS, TAX, JOBS),
    notes=["Only the cost of the jobs invoiced stands against sales."],
)


def table_of(paper: MonthPaper) -> list[list[str]]:
    return list(csv.reader(StringIO(make_month_csv(paper))))


def words_of(paper: MonthPaper) -> str:
    pages = PdfReader(BytesIO(make_month_pdf(paper))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_paper_and_table_say_the_same_sentences_and_rows() -> None:
    text, rows = words_of(PAPER), table_of(PAPER)
    sentence = "The one job invoiced made a gross profit of £642.00, 55.8 %."
    assert sentence in text
    assert ["sentence", "1", sentence] in rows
    for section in PAPER.sections:
        assert section.title in text
        for row in section.rows:
            assert all(figure in text for figure in (row.label, row.below, *row.figures)), row
    assert ["profit", "gross_profit", "Gross profit", "55.8 %", "642.00"] in rows
    assert ["note", "1", "Only the cost of the jobs invoiced stands against sales."] in rows


def test_a_loss_is_a_number_in_the_spreadsheet_under_its_head() -> None:
    rows = [row for row in table_of(PAPER) if row[0] == "jobs"]
    assert rows[0][:4] == ["jobs", "heads", "Job", ""]
    figures = dict(zip(rows[0][4:], rows[1][4:], strict=True))
    assert (figures["Brought forward"], figures["Whole job"], figures["%"]) == ("-40.00", "-15.00", "-15.0")


def test_a_spreadsheet_reads_sums_and_hours_as_numbers() -> None:
    rows = table_of(PAPER)
    assert ["paper", "currency", "Currency", "", "GBP"] in rows
    assert ["tax", "total", "Total", "", "12345.60", "987.65"] in rows
    assert ["hours", "here", "Paid time, h", "", "180.2"] in rows


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_no_amount_of_a_good_month_is_broken_over_two_lines(size: str) -> None:
    figures = (
        "−12,345.67",
        "98,765.43",
        "45,678.90",
        "8,765.43",
        "987.65",
        "8,765.43",
        "876.54",
        "−45,678.90",
        "−46.2",
    )
    row = replace(LOSS, figures=figures)
    jobs = replace(JOBS, rows=(row,), total=replace(row, code="total", label="Total"))
    text = words_of(replace(PAPER, paper_size=size, sections=(jobs,)))
    assert [figure for figure in figures if text.count(figure) < 2] == []
    assert [head for head in jobs.heads if head not in text] == []


@pytest.mark.parametrize(
    ("locale", "written"),
    [("en_US", "−1,234.50"), ("de_DE", "−1.234,50"), ("fr_FR", "−1\u202f234,50"), ("de_CH", "−1'234.50")],
)
def test_a_number_of_any_locale_goes_to_a_spreadsheet_with_a_point_alone(locale: str, written: str) -> None:
    assert safe_cell(written, locale) == "-1234.50"


def test_what_a_spreadsheet_would_run_is_kept_as_text() -> None:
    row = SectionRow("invoice_3", "Dana: Credit note 3", ("1,050.00",), "=run in the clear")
    paper = replace(PAPER, sections=(Section("taken_back", "Credits", (row,)),))
    assert ["taken_back", "invoice_3", "Dana: Credit note 3", "'=run in the clear", "1050.00"] in table_of(paper)


def test_a_section_without_rows_says_so_on_paper() -> None:
    assert "Credits None." in words_of(replace(PAPER, sections=(Section("taken_back", "Credits", ()),)))
    empty = Section("jobs", "Jobs", (), note="No job was invoiced.")
    assert "Jobs No job was invoiced." in words_of(replace(PAPER, sections=(empty,)))


def test_what_a_closing_keeps_is_read_back_as_it_was() -> None:
    kept = json.loads(json.dumps(kept_paper(replace(PAPER, faults=("A sum is off.",)))))
    again = paper_kept(kept, "October 2026")
    assert make_month_csv(again) == make_month_csv(replace(PAPER, faults=("A sum is off.",)))
    assert make_month_pdf(again) == make_month_pdf(replace(PAPER, faults=("A sum is off.",)))


def test_of_an_older_closing_the_sums_that_it_kept_in_words_are_shown() -> None:
    paper = paper_kept({"Sales, before tax": "1,000.00"}, "October 2026")
    (section,) = paper.sections
    assert [(row.label, row.figures) for row in section.rows] == [("Sales, before tax", ("1,000.00",))]
    assert (paper.month, paper.sentences) == ("October 2026", ())

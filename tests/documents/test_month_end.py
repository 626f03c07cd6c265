"""The month's paper and its figures for a spreadsheet: a loss stays a number, the day of what is owed is named."""

import csv
from dataclasses import replace
from io import BytesIO, StringIO

import pytest
from pypdf import PdfReader

from shopbook.documents.month_end import (
    JOB_COLUMNS,
    JOB_HEADS,
    JOBS_NOTE,
    MonthJob,
    MonthPaper,
    make_month_csv,
    make_month_pdf,
    safe_cell,
)
from shopbook.trade.countries import known_country

GB = known_country("gb")

LOSS = MonthJob(
    number="12",
    car="2017 hatchback, blue",
    invoiced_before="0.00",
    cost_before="40.00",
    before="−40.00",
    invoiced="100.00",
    labour="50.00",
    materials="15.00",
    floor="5.00",
    other="5.00",
    rework="0.00",
    earned="−15.00",
    share="−15.0 %",
)
PAPER = MonthPaper(
    shop="Quarry Lane",
    month="October 2026",
    made="3 November 2026",
    currency="GBP",
    paper_size="a4",
    summary=[],
    kinds=[],
    taxes=[("Sales tax, 8 %", "12,345.60", "987.65")],
    taxes_last=("Total", "12,345.60", "987.65"),
    costs=[],
    hours=[("Paid time", "180.2 h")],
    shelf=[],
    owed=[("Not yet due", "650.00")],
    jobs=[LOSS],
    jobs_last=replace(LOSS, number="Total", share=""),
    notes=[],
    job_heads=[*map(GB.say, JOB_HEADS)],
    job_columns=[*map(GB.say, JOB_COLUMNS)],
    jobs_note=GB.say(JOBS_NOTE),
    ageing_word=GB.word("Ageing"),
)


def test_a_loss_is_a_number_in_the_spreadsheet_and_stands_with_its_share_on_the_paper() -> None:
    rows = list(csv.reader(StringIO(make_month_csv(PAPER))))
    figures = dict(zip(rows[-4], rows[-3], strict=True))
    assert (figures["cost before"], figures["whole job"], figures["share in %"]) == ("40.00", "-15.00", "-15.0")
    assert rows[-2][0] == "Total"
    text = " ".join(PdfReader(BytesIO(make_month_pdf(PAPER))).pages[0].extract_text().split())
    assert "−15.00 (−15.0 %)" in text
    assert "Aged debtors, 3 November 2026" in text


def test_a_job_in_hand_has_no_share_and_says_so() -> None:
    assert replace(LOSS, share="").margin == "−15.00"
    row = replace(LOSS, share="", is_in_hand=True)
    assert row.margin == "−15.00, in progress"
    rows = list(csv.reader(StringIO(make_month_csv(replace(PAPER, jobs=[row])))))
    assert dict(zip(rows[-4], rows[-3], strict=True))["standing"] == "in progress"


def test_a_spreadsheet_reads_sums_and_hours_as_numbers() -> None:
    rows = list(csv.reader(StringIO(make_month_csv(PAPER))))
    assert ["paper", "Currency", "GBP"] in rows
    assert ["tax", "Total", "12345.60", "987.65"] in rows
    assert ["hours", "Paid time, h", "180.2"] in rows


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_no_amount_of_a_good_month_is_broken_over_two_lines(size: str) -> None:
    sums = {"before": "−12,345.67", "invoiced": "98,765.43", "labour": "45,678.90", "materials": "8,765.43"}
    sums |= {"floor": "987.65", "other": "8,765.43", "rework": "876.54", "earned": "−45,678.90"}
    row, last = replace(LOSS, **sums), replace(LOSS, number="Total", car="", share="", **sums)
    paper = replace(PAPER, paper_size=size, jobs=[row], jobs_last=last)
    pages = PdfReader(BytesIO(make_month_pdf(paper))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert [cell for cell in last.cells if text.count(cell) < 2] == []
    assert [head for head in paper.job_heads if head not in text] == []
    assert row.margin in text


@pytest.mark.parametrize(
    ("locale", "written"),
    [("en_US", "−1,234.50"), ("de_DE", "−1.234,50"), ("fr_FR", "−1\u202f234,50"), ("de_CH", "−1'234.50")],
)
def test_a_number_of_any_locale_goes_to_a_spreadsheet_with_a_point_alone(locale: str, written: str) -> None:
    assert safe_cell(written, locale) == "-1234.50"


def test_what_was_taken_back_stands_on_the_paper_and_in_the_table() -> None:
    row = ("Dana", "5 Nov 2026", "Credit note 3, job 7", "=run in the clear", "1,050.00")
    paper = replace(PAPER, taken_back=[row])
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(make_month_pdf(paper))).pages)
    for words in ("Credits, refunds and write-offs", "Dana", "Credit note 3, job 7, 5 Nov 2026", "1,050.00"):
        assert words in text
    table = list(csv.reader(StringIO(make_month_csv(paper))))
    place = table.index(["by", "day", "what", "reason", "amount"])
    assert table[place + 1] == ["Dana", "5 Nov 2026", "Credit note 3, job 7", "'=run in the clear", "1050.00"]
    assert table[place + 2] == []
    none = " ".join(page.extract_text() for page in PdfReader(BytesIO(make_month_pdf(PAPER))).pages)
    assert "None." in none

"""The month's paper and its figures for a spreadsheet: a loss stays a number, the day of what is owed is named."""

import csv
from dataclasses import replace
from io import BytesIO, StringIO

from pypdf import PdfReader

from shopbook.documents.month_end import MonthJob, MonthPaper, make_month_csv, make_month_pdf

LOSS = MonthJob("12", "100.00", "90.00", "20.00", "5.00", "0.00", "−15.00", "−15.0 %")
PAPER = MonthPaper(
    shop="Quarry Lane",
    month="October 2026",
    made="3 November 2026",
    currency="GBP",
    paper_size="a4",
    summary=[],
    kinds=[],
    taxes=[],
    costs=[],
    hours=[],
    shelf=[],
    owed=[("Not yet due", "650.00")],
    jobs=[LOSS],
    notes=[],
)


def test_a_loss_is_a_number_in_the_spreadsheet_and_stands_with_its_share_on_the_paper() -> None:
    rows = list(csv.reader(StringIO(make_month_csv(PAPER))))
    figures = dict(zip(rows[-2], rows[-1], strict=True))
    assert (figures["margin"], figures["share in %"]) == ("-15.00", "-15.0")
    text = " ".join(PdfReader(BytesIO(make_month_pdf(PAPER))).pages[0].extract_text().split())
    assert "−15.00 (−15.0 %)" in text
    assert "Owed on 3 November 2026, by days past due" in text


def test_a_job_without_an_invoice_has_no_share() -> None:
    assert replace(LOSS, share="").margin == "−15.00"

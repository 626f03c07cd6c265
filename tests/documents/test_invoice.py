"""The invoice and the slips on paper: read back as printed, at both sizes, with equal bytes, markup as text."""

import io
from dataclasses import replace

import pytest
from pypdf import PdfReader

from shopbook.documents.head import Head
from shopbook.documents.invoice import DoneRow, InvoicePaper, PayerRow, make_invoice_file
from shopbook.documents.slip import SlipPaper, make_slip_file

PAPER = InvoicePaper(
    head=Head(
        kind="Invoice",
        number="2318",
        shop="Quarry Lane Dent and Paint",
        shop_lines=("14 Quarry Lane, Millbrook",),
        facts=(("Date", "Friday 6 November 2026"),),
        to="Ines Okafor",
        to_lines=("7 Harbour Row",),
        car="2017 hatchback, harbour blue",
        car_lines=("plate KTR 204",),
        hex="#2f5f9b",
    ),
    mark="",
    reason="",
    sign="$",
    labour_word="Labor",
    heading="Work done",
    rows=(DoneRow("1 · Right quarter panel", "Crease pulled", "409.50", "213.50", "623.00"),),
    rows_last=DoneRow("Total", "", "409.50", "213.50", "623.00"),
    not_done=("3 · Rear bumper corner",),
    tax_word="Sales tax",
    tax_rows=(("Not taxed", "409.50", "0.00"), ("Sales tax, 8 %", "213.50", "17.08")),
    tax_last=("Total", "623.00", "17.08"),
    sums=(("Before tax", "623.00"), ("Sales tax", "17.08")),
    sums_last=("Total due", "640.08"),
    payers=(PayerRow("Ines Okafor", "due on pickup", "640.08", "0.00", "640.08"),),
    payers_last=PayerRow("Total", "", "640.08", "0.00", "640.08"),
    notes=(),
    care="No brush wash for 2 weeks.",
    closing=("Pay to account 000 000 000.",),
)


def read(body: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(body)).pages)


def test_everything_that_stands_on_the_invoice_is_read_back() -> None:
    text = read(make_invoice_file(PAPER))
    for words in (
        "Invoice 2318",
        "Ines Okafor",
        "409.50",
        "17.08",
        "640.08",
        "Seen, not repaired at your request",
        "due on pickup",
        "Labor",
    ):
        assert words in text


def test_the_same_invoice_gives_the_same_bytes() -> None:
    assert make_invoice_file(PAPER) == make_invoice_file(PAPER)


@pytest.mark.parametrize(("size", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_the_paper_is_as_large_as_the_country_has_it(size: str, points: tuple[int, int]) -> None:
    """US Letter 8.5 × 11 in; A4 210 × 297 mm (ISO 216)."""
    page = PdfReader(io.BytesIO(make_invoice_file(replace(PAPER, head=replace(PAPER.head, paper_size=size))))).pages[0]
    assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == points


def test_markup_and_long_words_are_printed_as_they_were_typed() -> None:
    rows = tuple(DoneRow(f"{n} · <b>panel & sons</b>", "x" * 150, "1.00", "2.00", "3.00") for n in range(60))
    body = make_invoice_file(replace(PAPER, rows=rows))
    assert "<b>panel & sons</b>" in read(body)
    assert len(PdfReader(io.BytesIO(body)).pages) > 1


def test_a_paper_that_is_no_tax_invoice_says_so_first() -> None:
    text = read(make_invoice_file(replace(PAPER, mark="This paper is not a tax invoice.")))
    assert text.index("not a tax invoice") < text.index("Ines Okafor")


def test_a_slip_is_read_back_and_carries_no_tax_figures() -> None:
    slip = SlipPaper(
        head=Head(
            kind="Request to pay, invoice",
            number="2318",
            shop="Quarry Lane Dent and Paint",
            shop_lines=(),
            facts=(("Due", "Sunday 6 December 2026"),),
            to="Meadow Insurance, claim 77-20418",
            to_lines=(),
            car="2017 hatchback",
        ),
        sign="$",
        rows=(("Your share of the repair", "576.16"), ("Still to pay", "576.16")),
        notes=("This is not a tax invoice.",),
    )
    text = read(make_slip_file(slip))
    assert "576.16" in text
    assert "Sales tax" not in text

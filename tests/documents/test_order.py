"""An order on paper and as words: nothing lost, nothing boxed, equal data gives equal bytes."""

from dataclasses import replace
from io import BytesIO

from pypdf import PdfReader

from shopbook.documents.head import Head
from shopbook.documents.order import OrderPaper, OrderRow, make_order_pdf, order_text

PAPER = OrderPaper(
    head=Head(
        kind="Order",
        to="Northside <Paint> & Supply",
        to_lines=("555-0190",),
        shop="Quarry Lane Dent and Paint",
        shop_lines=("14 Quarry Lane, Millbrook", "555-0100"),
        number="7",
        paper_size="a4",
    ),
    day="5 November 2026",
    due="6 November 2026",
    rows=[OrderRow(2, "Clear, medium solids", "1 L", "80.00"), OrderRow(1, "沙纸 P320", "box")],
    total="80.00",
    currency="$",
)


def read(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def test_the_paper_holds_every_line_in_the_letters_it_was_typed_in() -> None:
    text = read(make_order_pdf(PAPER))
    for wanted in ("Order 7", "Northside <Paint> & Supply", "Clear, medium solids", "80.00", "沙纸 P320"):
        assert wanted in text


def test_equal_data_gives_equal_bytes() -> None:
    assert make_order_pdf(PAPER) == make_order_pdf(PAPER)


def test_the_words_can_be_read_out_on_the_phone() -> None:
    assert order_text(PAPER).splitlines() == [
        "Order 7, 5 November 2026",
        "",
        "2 × Clear, medium solids, 1 L",
        "1 × 沙纸 P320, box",
        "",
        "Please deliver by 6 November 2026.",
        "Quarry Lane Dent and Paint, 14 Quarry Lane, Millbrook, 555-0100",
    ]


def test_a_draft_is_read_out_without_a_number() -> None:
    assert order_text(replace(PAPER, head=replace(PAPER.head, number=""))).startswith("Order of 5 November 2026\n")

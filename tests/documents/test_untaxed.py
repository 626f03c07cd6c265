"""A shop that is not registered has no lines of tax on its invoice, and nothing stands there "before tax"."""

from dataclasses import replace

from shopbook.documents.invoice import make_invoice_file
from tests.documents.test_invoice import PAPER, read


def test_without_rows_of_tax_only_the_total_is_printed() -> None:
    note = "No VAT is charged: small business."
    paper = replace(PAPER, tax_rows=(), sums=(), sums_last=("Total due", "623.00"), payers=(), notes=(note,))
    text = read(make_invoice_file(paper))
    assert "Before tax" not in text
    assert "Sales tax" not in text
    assert "Total due" in text
    assert note in text
    assert "Before tax" in read(make_invoice_file(PAPER))

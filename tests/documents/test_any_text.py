"""Any text that a field takes fits on every paper, at both sizes: a paper that is issued has its file."""

from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass, replace
from io import BytesIO
from itertools import cycle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from shopbook.documents.invoice import make_invoice_file
from shopbook.documents.job_card import make_job_card
from shopbook.documents.month_end import make_month_pdf
from shopbook.documents.order import make_order_pdf
from shopbook.documents.quote import make_quote_file
from shopbook.documents.slip import SlipPaper, make_slip_file
from tests.documents import test_invoice, test_job_card, test_month_end, test_order, test_quote

LINE = 200
"""The letters that a line of a form takes; a field of several lines takes twenty times as many."""
DRAWN = {"hex", "paper_size", "panels", "path", "locale", "state", "sides", "on", "due", "panel_names", "coats", "by"}
"""What is a code or a drawing, and never typed."""
SLIP = SlipPaper(test_invoice.PAPER.head, "$", (("Received", "200.00"), ("Still to pay", "440.08")), ("Thank you.",))
PAPERS: dict[str, tuple[Any, Callable[[Any], bytes]]] = {
    "invoice": (test_invoice.PAPER, make_invoice_file),
    "slip": (SLIP, make_slip_file),
    "quote": (test_quote.PAPER, make_quote_file),
    "job card": (test_job_card.CARD, make_job_card),
    "order": (test_order.PAPER, make_order_pdf),
    "month end": (test_month_end.PAPER, make_month_pdf),
}
SIZES = ("letter", "a4")
SCRIPTS = "WiÄ中ש لमα <&>-\u00a0"
SORTS = st.one_of(
    st.text(alphabet="WM", min_size=LINE, max_size=LINE),
    st.text(alphabet=SCRIPTS, max_size=LINE),
    st.lists(st.text(alphabet="abcWÄ", min_size=1, max_size=60), max_size=12).map(lambda each: "\n".join(each)[:LINE]),
)


def filled(paper: Any, texts: Sequence[str], size: str) -> Any:
    """The paper with every text that could have been typed replaced by these, in turn."""
    return _sized(_filled(paper, cycle(texts)), size)


def _filled(known: Any, texts: Any) -> Any:
    if isinstance(known, str):
        return next(texts) if known else known
    if isinstance(known, (tuple, list)):
        return type(known)(_filled(each, texts) for each in known)
    if is_dataclass(known) and not isinstance(known, type):
        typed = [each.name for each in fields(known) if each.name not in DRAWN]
        return replace(known, **{name: _filled(getattr(known, name), texts) for name in typed})
    return known


def _sized(paper: Any, size: str) -> Any:
    if hasattr(paper, "head"):
        return replace(paper, head=replace(paper.head, paper_size=size))
    return replace(paper, paper_size=size)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", PAPERS)
def test_a_word_of_200_letters_in_every_field_fits(kind: str, size: str) -> None:
    paper, make = PAPERS[kind]
    assert PdfReader(BytesIO(make(filled(paper, ["W" * LINE], size)))).pages


@pytest.mark.parametrize("kind", PAPERS)
@settings(max_examples=5, deadline=None, derandomize=True)
@given(texts=st.lists(SORTS, min_size=1, max_size=7), size=st.sampled_from(SIZES))
def test_random_text_to_the_limit_of_each_field_fits(kind: str, texts: list[str], size: str) -> None:
    paper, make = PAPERS[kind]
    assert PdfReader(BytesIO(make(filled(paper, texts, size)))).pages


@pytest.mark.parametrize("size", SIZES)
def test_an_address_reason_and_care_of_4000_letters_go_on_over_pages_with_nothing_lost(size: str) -> None:
    long = ("panel " * 700)[:3999].strip()
    head = replace(test_invoice.PAPER.head, to_lines=(long, "the end of it"), paper_size=size)
    row = replace(test_invoice.PAPER.rows[0], below=long)
    paper = replace(test_invoice.PAPER, head=head, rows=(row,), reason=long, care=long)
    text = test_invoice.read(make_invoice_file(paper))
    assert text.count("panel") == 4 * long.count("panel") + test_invoice.read(
        make_invoice_file(test_invoice.PAPER)
    ).count("panel")
    assert "the end of it" in text

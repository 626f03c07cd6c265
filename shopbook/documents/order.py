"""An order to a supplier: as words to paste into a message, and on paper."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reportlab.platypus import Flowable

from shopbook.documents.head import Head, draw_head, finish
from shopbook.documents.page import gap, table, words


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One line: how many packs of what, and the last price of all of them as text ("" where none is known)."""

    packs: int
    name: str
    pack_name: str
    price: str = ""


@dataclass(frozen=True, slots=True)
class OrderPaper:
    """One order as it is sent; days and amounts as text. The head's number is empty while it is a draft."""

    head: Head
    day: str
    due: str
    rows: Sequence[OrderRow]
    total: str
    currency: str


def order_text(paper: OrderPaper) -> str:
    """The order as plain lines, for a message or to read out on the phone; without prices."""
    head = paper.head
    due = f"Please deliver by {paper.due}." if paper.due else ""
    lines = [f"{row.packs} × {row.name}, {row.pack_name}" for row in paper.rows]
    ends = [part for part in (due, ", ".join([head.shop, *head.shop_lines])) if part]
    first = f"Order {head.number}, {paper.day}" if head.number else f"Order of {paper.day}"
    return "\n".join([first, "", *lines, "", *ends])


def make_order_pdf(paper: OrderPaper) -> bytes:
    """The order as a PDF; the last prices paid are beside the lines, and the paper says so."""
    facts = (("Date", paper.day), *([("Deliver by", paper.due)] if paper.due else []))
    story: list[Flowable] = [
        *draw_head(replace(paper.head, facts=facts)),
        gap(),
        table(
            ["Item", "Pack", "Packs", paper.currency],
            [[row.name, row.pack_name, str(row.packs), row.price] for row in paper.rows]
            + [["Estimated total", "", "", paper.total]],
            ["46%", "24%", "12%", "18%"],
            figures=[2, 3],
            has_total=True,
        ),
        gap(),
        words("Prices are the last ones we paid, before tax.", "small"),
    ]
    return finish(story, paper)

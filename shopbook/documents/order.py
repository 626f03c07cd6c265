"""An order to a supplier: as words to paste into a message, and on paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable

from shopbook.documents.page import MISSING_NOTE, gap, list_missing, make_file, side_by_side, table, titled, words


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One line: how many packs of what, and the last price of all of them as text ("" where none is known)."""

    packs: int
    name: str
    pack_name: str
    price: str = ""


@dataclass(frozen=True, slots=True)
class OrderPaper:
    """One order as it goes out; days and amounts as text. `number` is empty while it is a draft."""

    shop: str
    shop_lines: Sequence[str]
    number: str
    day: str
    due: str
    supplier: str
    supplier_lines: Sequence[str]
    rows: Sequence[OrderRow]
    total: str
    currency: str
    paper_size: str

    @property
    def title(self) -> str:
        """What the paper calls itself."""
        return f"Order {self.number}" if self.number else "Order, not sent yet"


def order_text(paper: OrderPaper) -> str:
    """The order as plain lines, for a message or to read out on the phone; without prices."""
    due = f"Please by {paper.due}." if paper.due else ""
    lines = [f"{row.packs} × {row.name}, {row.pack_name}" for row in paper.rows]
    ends = [part for part in (due, ", ".join([paper.shop, *paper.shop_lines])) if part]
    first = f"Order {paper.number}, {paper.day}" if paper.number else f"Order of {paper.day}"
    return "\n".join([first, "", *lines, "", *ends])


def make_order_pdf(paper: OrderPaper) -> bytes:
    """The order as a PDF; last prices stand beside the lines, and that they are the last ones is said."""
    story: list[Flowable] = [
        side_by_side([titled(paper.shop, "\n".join(paper.shop_lines))], [words(paper.title, "title")], "60%"),
        gap(),
        side_by_side(
            [titled(paper.supplier or "To be bought", "\n".join(paper.supplier_lines))],
            [words(f"Of {paper.day}"), *([words(f"Please by {paper.due}")] if paper.due else [])],
            "60%",
        ),
        gap(10),
        table(
            ["What", "Pack", "Packs", paper.currency],
            [[row.name, row.pack_name, str(row.packs), row.price] for row in paper.rows]
            + [["About, at last prices", "", "", paper.total]],
            ["46%", "24%", "12%", "18%"],
            figures=[2, 3],
            has_total=True,
        ),
        gap(),
        words("Prices are the last ones known to us, before tax.", "small"),
    ]
    typed = (paper.shop, *paper.shop_lines, paper.supplier, *paper.supplier_lines)
    if list_missing(*typed, *(text for row in paper.rows for text in (row.name, row.pack_name))):
        story.append(words(MISSING_NOTE, "small"))
    return make_file(story, title=paper.title, shop=paper.shop, paper_size=paper.paper_size)

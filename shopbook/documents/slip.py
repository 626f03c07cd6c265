"""Short papers about money: a receipt, and a request to pay that carries no tax figures."""

from dataclasses import dataclass

from reportlab.platypus import Flowable

from shopbook.documents.head import Head, draw_head, finish
from shopbook.documents.page import gap, table, words


@dataclass(frozen=True, slots=True)
class SlipPaper:
    """Everything on a slip, in finished words; `rows` are (what, amount), the last one ruled off."""

    head: Head
    sign: str
    rows: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def make_slip_file(paper: SlipPaper) -> bytes:
    """The PDF; the same data gives the same bytes."""
    story: list[Flowable] = [
        *draw_head(paper.head),
        gap(),
        table(("Amount", paper.sign.strip()), list(paper.rows), [None, "25%"], figures=(1,), has_total=True),
        gap(),
        *(words(note, "small") for note in paper.notes),
    ]
    return finish(story, paper)

"""Short papers about money: a receipt, and a request to pay that carries no tax figures."""

from dataclasses import dataclass

from reportlab.platypus import Flowable

from shopbook.documents.invoice import all_words
from shopbook.documents.page import MISSING_NOTE, gap, list_missing, make_file, side_by_side, table, words


@dataclass(frozen=True, slots=True)
class SlipPaper:
    """All that stands on a slip, in finished words; `rows` are (what, amount), the last of them ruled off."""

    kind: str
    number: str
    shop: str
    shop_lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    to: str
    to_lines: tuple[str, ...]
    car: str
    sign: str
    rows: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    paper_size: str = "letter"


def make_slip_file(paper: SlipPaper) -> bytes:
    """The PDF; the same data gives the same bytes."""
    shop = [words(paper.shop, "heading"), *(words(line, "small") for line in paper.shop_lines)]
    facts = [words(f"{paper.kind} {paper.number}", "title")]
    facts += [words(f"{word}: {value}") for word, value in paper.facts]
    to = [words("To", "small"), words(paper.to, "bold"), *(words(line) for line in paper.to_lines)]
    car = [words("Car", "small"), words(paper.car, "bold")] if paper.car else []
    story: list[Flowable] = [
        side_by_side(shop, facts, "52%"),
        gap(8),
        side_by_side(to, car, "52%"),
        gap(8),
        table(("What", paper.sign.strip()), list(paper.rows), [None, "25%"], figures=(1,), has_total=True),
        gap(),
        *(words(note, "small") for note in paper.notes),
    ]
    if list_missing(*all_words(paper)):
        story.append(words(MISSING_NOTE, "small"))
    return make_file(
        story,
        title=f"{paper.kind} {paper.number}",
        shop=paper.shop,
        paper_size=paper.paper_size,
        footer=f"{paper.kind} {paper.number} · {paper.shop}",
    )

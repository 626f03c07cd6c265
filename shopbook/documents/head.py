"""The head of a paper (shop, customer, car) and how the paper is finished; the same for every kind."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Protocol

from reportlab.platypus import Flowable

from shopbook.documents.faces import refuse_unprintable
from shopbook.documents.page import MARGIN, gap, make_pages, side_by_side, words

MOST_QUOTED = 60
"""How much of a text that cannot be printed is quoted."""


@dataclass(frozen=True, slots=True)
class Head:
    """Who sends it to whom about which car, in finished words; `facts` are (word, value)."""

    kind: str
    number: str
    shop: str
    shop_lines: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    to: str = ""
    to_lines: tuple[str, ...] = ()
    car: str = ""
    car_lines: tuple[str, ...] = ()
    hex: str = ""
    paper_size: str = "letter"

    @property
    def title(self) -> str:
        """What the paper calls itself."""
        return f"{self.kind} {self.number}".strip()


class PrintedPaper(Protocol):
    """Anything that is printed under a head."""

    @property
    def head(self) -> Head: ...


def draw_head(head: Head) -> list[Flowable]:
    """The shop beside the paper's title and facts; below them the one it is for beside the car."""
    shop = [words(head.shop, "heading"), *(words(line, "small") for line in head.shop_lines)]
    facts = [words(head.title, "title"), *(words(f"{word}: {value}") for word, value in head.facts)]
    to = [words("To", "small"), words(head.to, "bold"), *(words(line) for line in head.to_lines)]
    car = [words("Car", "small"), words(head.car, "bold"), *(words(line) for line in head.car_lines)]
    return [side_by_side(shop, facts, "52%"), gap(8), side_by_side(to, car if head.car else [], "52%"), gap(4)]


def finish(story: Sequence[Flowable], paper: PrintedPaper) -> bytes:
    """The PDF of a paper; RuleBroken for a letter that cannot be printed: no dot or box stands in for it."""
    return finish_within([story], paper)


def finish_within(
    stories: Iterable[Sequence[Flowable]], paper: PrintedPaper, *, most: int = 1, margin: float = MARGIN
) -> bytes:
    """The first of these tellings of a paper that has no more than `most` pages, else the last; never none of them."""
    head, made = paper.head, b""
    refuse_paper(paper)
    footer = f"{head.title} · {head.shop}"
    for story in stories:
        made, pages = make_pages(
            story, title=head.title, shop=head.shop, paper_size=head.paper_size, footer=footer, margin=margin
        )
        if pages <= most:
            break
    return made


def refuse_paper(paper: PrintedPaper) -> None:
    """RuleBroken, before it is issued, for a paper that holds letters it cannot print; (printed_name) for its name."""
    refuse_unprintable(paper.head.to, field="printed_name", what="the name")
    for text in texts_of(paper):
        refuse_unprintable(text, what=f"“{text[:MOST_QUOTED]}”")


def texts_of(paper: object) -> list[str]:
    """Every text of a paper, at any depth."""
    if isinstance(paper, str):
        return [paper]
    if isinstance(paper, Sequence) and not isinstance(paper, bytes):
        return [text for part in paper for text in texts_of(part)]
    if hasattr(paper, "__dataclass_fields__"):
        return [text for field in fields(paper) for text in texts_of(getattr(paper, field.name))]  # type: ignore[arg-type]
    return []

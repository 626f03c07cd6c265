"""What a paper begins with (whose it is, for whom, which car) and how it is finished; the same for every kind."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Protocol

from reportlab.platypus import Flowable

from shopbook.documents.faces import refuse_unprintable
from shopbook.documents.page import gap, make_file, side_by_side, words


@dataclass(frozen=True, slots=True)
class Head:
    """Who writes to whom about which car, in finished words; `facts` are (word, value)."""

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
    """The PDF of a paper; RuleBroken where a letter of it cannot be printed: a dot or a box never stands for one."""
    head = paper.head
    refuse_unprintable(*_texts(paper))
    footer = f"{head.title} · {head.shop}"
    return make_file(story, title=head.title, shop=head.shop, paper_size=head.paper_size, footer=footer)


def _texts(paper: object) -> list[str]:
    """Every text of a paper, however deep it stands."""
    if isinstance(paper, str):
        return [paper]
    if isinstance(paper, Sequence) and not isinstance(paper, bytes):
        return [text for part in paper for text in _texts(part)]
    if hasattr(paper, "__dataclass_fields__"):
        return [text for field in fields(paper) for text in _texts(getattr(paper, field.name))]  # type: ignore[arg-type]
    return []

"""The estimate on paper: damage, what is done to which panel, price, how long, what is not included, approval."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Image, KeepTogether, TableStyle

from shopbook.documents.head import Head, draw_head, finish
from shopbook.documents.page import Columns, caution, gap, side_by_side, table, titled, words
from shopbook.documents.signs import CoatsSign, OutlineSign, SignatureSign
from shopbook.trade.car.outline import PANEL_SHAPES
from shopbook.trade.car.sides import Sides
from shopbook.trade.pricing.given import SeenCoats

PICTURE_WIDTH = 34 * mm
_BARE = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
]
STATE_WORDS = {"taken": "[x] accepted", "left": "[–] declined", "open": "[  ]"}


@dataclass(frozen=True, slots=True)
class QuotedPart:
    """One item to accept or decline; `aside` says that another way of doing it excludes it. Prices are text."""

    number: int
    title: str
    below: str
    price: str
    state: str = "open"
    aside: str = ""
    panels: tuple[str, ...] = ()
    coats: tuple[SeenCoats, ...] = ()
    pictures: tuple[bytes, ...] = ()
    picture_count: int = 0


@dataclass(frozen=True, slots=True)
class ApprovalBox:
    """One approval in its box; without `by` it is a line to sign on."""

    who: str
    sentence: str
    by: str = ""
    path: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class QuotePaper:
    """Everything on an estimate, in finished words."""

    head: Head
    wrong: str
    intro: str
    sign: str
    parts: tuple[QuotedPart, ...]
    savings: tuple[tuple[str, str], ...]
    """What is saved when these items are done at once: words and price."""
    sides: Sides
    sum_title: str
    tax_word: str
    tax_rows: tuple[tuple[str, str, str], ...]
    tax_last: tuple[str, str, str]
    gross: str
    gross_word: str
    payers: tuple[tuple[str, str], ...]
    terms: tuple[str, ...]
    not_included: tuple[str, ...]
    seen: tuple[str, ...]
    cautions: tuple[str, ...]
    closing: tuple[str, ...]
    approval: tuple[ApprovalBox, ...]
    is_draft: bool
    panel_names: Mapping[str, str] = field(default_factory=dict)

    @property
    def marks(self) -> dict[str, int]:
        """Each panel that an item works on, and the number of the first such item."""
        return {panel: part.number for part in reversed(self.parts) for panel in reversed(part.panels)}

    clear: str = "clear"
    """The last coat in the words of the shop's country."""


def make_quote_file(paper: QuotePaper) -> bytes:
    """The PDF of an estimate; the same data gives the same bytes."""
    *before, last = [_money(paper), *_lists(paper)]
    # A signature never stands on a page of its own, without anything it is signed for.
    end = KeepTogether([*last, *_approval(paper), gap(), *(words(line, "small") for line in paper.closing)])
    return finish([*_head(paper), *_parts(paper), *map(KeepTogether, before), end], paper)


def _head(paper: QuotePaper) -> list[Flowable]:
    head = draw_head(paper.head)
    if paper.is_draft:
        head.insert(0, caution("DRAFT. Not given to the customer yet. Prices may still change."))
    head.append(words("What we found and what it costs", "heading"))
    said: list[Flowable] = [words(paper.wrong)] if paper.wrong else []
    said.append(words(paper.intro, "small"))
    is_drawn = any(panel in PANEL_SHAPES for panel in paper.marks)
    head += [side_by_side(said, [OutlineSign(paper.marks, paper.sides)], "70%")] if is_drawn else said
    return head


def _parts(paper: QuotePaper) -> list[Flowable]:
    rows: list[list[Flowable | str]] = []
    for part in paper.parts:
        below = " ".join(said for said in (part.below, part.aside) if said)
        work: list[Flowable] = [titled(f"{part.number} · {part.title}", below)]
        if part.pictures:
            work.append(_in_a_row([_picture(picture) for picture in part.pictures[:2]]))
        coats = [_coats(shown, paper.clear) for shown in part.coats[:3]]
        rows.append([STATE_WORDS[part.state], _column(work), _column(coats) if coats else "", part.price])
    rows += [["", said, "", price] for said, price in paper.savings]
    heads = ("Your choice", "Work", "Coats on the panel", f"Price, {paper.sign}")
    return [table(heads, rows, ["12%", None, 126, "13%"], figures=(3,)), gap(6)]


def _column(cells: Sequence[Flowable]) -> Flowable:
    made = Columns([[cell] for cell in cells], colWidths=["100%"])
    made.setStyle(TableStyle(_BARE))
    return made


def _in_a_row(cells: Sequence[Flowable]) -> Flowable:
    made = Columns([list(cells)], colWidths=[PICTURE_WIDTH + 6] * len(cells), hAlign="LEFT")
    made.setStyle(TableStyle(_BARE))
    return made


def _coats(shown: SeenCoats, clear: str) -> Flowable:
    return _column([words(shown.panel, "small"), CoatsSign(shown.on, shown.due, shown.hex, clear)])


def _picture(content: bytes) -> Image:
    image = Image(BytesIO(content))
    ratio = image.imageHeight / image.imageWidth
    image.drawWidth, image.drawHeight = PICTURE_WIDTH, min(PICTURE_WIDTH * ratio, 34 * mm)
    if PICTURE_WIDTH * ratio > 34 * mm:
        image.drawWidth = 34 * mm / ratio
    return image


def _money(paper: QuotePaper) -> list[Flowable]:
    tax = table(
        (paper.sum_title, "Before tax", paper.tax_word),
        [*paper.tax_rows, paper.tax_last],
        ["50%", "25%", "25%"],
        figures=(1, 2),
        has_total=True,
    )
    total = words(f"{paper.gross_word}: {paper.sign}{paper.gross}", "bold")
    payers: list[Flowable] = [table(("Who pays what", "With tax"), list(paper.payers), ["70%", "30%"], figures=(1,))]
    return [
        side_by_side([tax, gap(3), total], payers if paper.payers else []),
        gap(4),
        *(words(line) for line in paper.terms),
    ]


def _lists(paper: QuotePaper) -> list[list[Flowable]]:
    """What is not included, what was seen, the cautions: each a block that stays together."""
    headed = (("Not included", paper.not_included), ("Seen, not included", paper.seen))
    made: list[list[Flowable]] = [
        [words(heading, "heading"), *(words(line) for line in lines)] for heading, lines in headed if lines
    ]
    return made + [[gap(4), caution(line)] for line in paper.cautions]


def _approval(paper: QuotePaper) -> list[Flowable]:
    boxes = [_box(box) for box in paper.approval]
    pairs = [boxes[place : place + 2] for place in range(0, len(boxes), 2)]
    return [words("Approval", "heading"), *(side_by_side(pair[:1], pair[1:]) for pair in pairs)]


def _box(box: ApprovalBox) -> Columns:
    inside: list[Flowable] = [words(f"{box.who}: {box.sentence}")]
    if box.path or not box.by:
        inside.append(SignatureSign(box.path, "" if box.path else "name, date, signature", 165))
    if box.by:
        inside.append(words(box.by, "small"))
    made = Columns([[each] for each in inside], colWidths=["100%"])
    made.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 0.6, "#8b929a"), ("LEFTPADDING", (0, 0), (-1, -1), 8)]))
    return made

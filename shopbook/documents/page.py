"""What every paper shares: the one place where text is escaped, styles, tables, and the making of the file.

The same data gives the same bytes: no moment and no random mark is written into the file.
"""

from collections.abc import Sequence
from html import escape
from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor, white
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import getAscent
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph, Spacer, Table, TableStyle

from shopbook.documents.faces import PAPER, held_by
from shopbook.documents.scripts import as_printed, draw_line, is_plain, reads_from_right, width_of, wrap

SIZES = {"letter": LETTER, "a4": A4}
MARGIN = 17 * mm
SMALLEST_CLOSE = 8.5
A_GOOD_PART = 0.6 * (LETTER[1] - 2 * MARGIN)
"""Height left on a page from which on a row that does not fit is broken; with less it begins on the next page."""
INK, SOFT, RULE, AMBER = HexColor("#1b1f24"), HexColor("#57606b"), HexColor("#b9b3a6"), HexColor("#fdf0d2")


def safe(text: str) -> str:
    """Text as ReportLab's paragraph markup: nothing in it is read as markup, and what shows nothing is left out."""
    printable = "".join(letter for letter in as_printed(text) if letter in "\n\t\u00a0" or letter.isprintable())
    return escape(printable, quote=False).replace("\n", "<br/>")


def style(name: str = "body") -> ParagraphStyle:
    """A style by name: title, heading, body, bold, small, figure (right-aligned), figure_bold, figure_small, and for
    tables of many columns figure_many and figure_many_bold. For what is read in a glove at the car, close together and
    never under 8.5 points: close, note (soft), figure_close, figure_note."""
    held_by(PAPER)
    sizes = {"title": 18, "heading": 11.5, "small": 8, "figure_small": 8, "figure_many": 8, "figure_many_bold": 8}
    is_close = name.endswith(("close", "note"))
    size = SMALLEST_CLOSE if is_close else sizes.get(name, 9.5)
    is_bold = name in {"title", "heading", "bold", "figure_bold", "figure_many_bold"}
    return ParagraphStyle(
        name,
        fontName="Paper-Bold" if is_bold else "Paper",
        fontSize=size,
        leading=size * (1.2 if is_close else 1.32),
        textColor=SOFT if name.endswith(("small", "note")) else INK,
        alignment=TA_RIGHT if name.startswith("figure") else 0,
        spaceBefore=8 if name == "heading" else 0,
        spaceAfter=4 if name in {"heading", "title"} else 0 if is_close else 2,
    )


def words(text: str, kind: str = "body") -> Flowable:
    """A paragraph of plain text; see `safe`."""
    return Paragraph(safe(text), style(kind)) if is_plain(text) else ScriptLines((text, kind))


def titled(title: str, below: str, kind: str = "body") -> Flowable:
    """A bold line with smaller words under it."""
    if not is_plain(title + below):
        return ScriptLines(
            (title, "figure_bold" if kind.startswith("figure") else "bold"), *([(below, "small")] if below else [])
        )
    under = f'<br/><font size="8" color="#57606b">{safe(below)}</font>' if below else ""
    return Paragraph(f"<b>{safe(title)}</b>{under}", style(kind))


def noted(text: str, below: str) -> Flowable:
    """A plain line with smaller words under it."""
    if not is_plain(text + below):
        return ScriptLines((text, "body"), (below, "small"))
    return Paragraph(f'{safe(text)}<br/><font size="8" color="#57606b">{safe(below)}</font>', style())


def led(lead: str, text: str) -> Flowable:
    """Small close text that begins with bold words on the same line."""
    if not is_plain(lead + text):
        return ScriptLines((lead, "bold"), *([(text, "close")] if text else []))
    return Paragraph(f"<b>{safe(lead)}</b> {safe(text)}", style("close"))


class ScriptLines(Flowable):
    """Lines of text of which some is in another script, each part in its own style, below one another.

    A paragraph would draw them by its one face and in the order of their letters; see `scripts`. Several lines that
    read from the right stand at the right; a name of one line stands at the left, where its paper has all names.
    """

    def __init__(self, *parts: tuple[str, str]) -> None:
        super().__init__()
        self._given = parts
        self._parts = [(text.expandtabs(1), style(kind)) for text, kind in parts]
        self._lines: list[tuple[str, ParagraphStyle, bool]] = []
        self._broken: list[tuple[str, ParagraphStyle, bool]] = []
        self.spaceBefore, self.spaceAfter = self._parts[0][1].spaceBefore, self._parts[-1][1].spaceAfter

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  (named by ReportLab)
        self._lines = list(self._broken)
        for text, look in () if self._broken else self._parts:
            lines = [line for row in text.split("\n") for line in wrap(row, aW, look.fontSize, is_bold=_is_bold(look))]
            is_right = look.alignment == TA_RIGHT or (len(lines) > 1 and reads_from_right(text))
            self._lines += [(line, look, is_right) for line in lines]
        self.width, self.height = aW, sum(look.leading for _, look, _ in self._lines)
        return self.width, self.height

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803  (named by ReportLab)
        """The lines that fit, and those that go on over the page; nothing where not even one does."""
        self.wrap(aW, aH)
        count, height = 0, 0.0
        while count < len(self._lines) and height + self._lines[count][1].leading <= aH:
            height, count = height + self._lines[count][1].leading, count + 1
        return [self._some(0, count), self._some(count, len(self._lines))] if 0 < count < len(self._lines) else []

    def _some(self, first: int, end: int) -> "ScriptLines":
        """Lines that are broken already, as a flowable of their own."""
        part = ScriptLines(*self._given)
        part._broken = self._lines[first:end]
        return part

    def draw(self) -> None:
        top = self.height
        for line, look, is_right in self._lines:
            size, is_bold = look.fontSize, _is_bold(look)
            left = self.width - width_of(line, size, is_bold=is_bold) if is_right else 0
            self.canv.setFillColor(look.textColor)
            draw_line(self.canv, left, top - getAscent(look.fontName, size), line, size, is_bold=is_bold)
            top -= look.leading


def _is_bold(look: ParagraphStyle) -> bool:
    return look.fontName == PAPER.font(is_bold=True)


class Columns(Table):
    """A table whose columns have their share of the page whatever stands in them, and whose rows go on over a page.

    ReportLab would make a column without a width as wide as its longest word, and refuse a row taller than a page.
    `widths` are points, "30%" of the width, or None for an equal part of the rest.
    """

    _argW: Any  # noqa: N815  (named by ReportLab)

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  (named by ReportLab)
        self._argW = _shared_out(self._argW, aW)
        size: tuple[float, float] = super().wrap(aW, aH)
        return size

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803  (named by ReportLab)
        self._argW = _shared_out(self._argW, aW)
        self.splitInRow = int(aH >= A_GOOD_PART)
        parts: list[Flowable] = super().split(aW, aH)
        return parts


def _shared_out(widths: Sequence[float | str | None], whole: float) -> list[float]:
    """Widths in points; what is not given is shared out."""
    given = [float(width.rstrip("%")) * whole / 100 if isinstance(width, str) else width for width in widths]
    rest = (whole - sum(width for width in given if width is not None)) / max(1, given.count(None))
    return [rest if width is None else width for width in given]


def gap(points: float = 6) -> Spacer:
    """Empty height."""
    return Spacer(1, points)


def caution(said: str | Flowable) -> Columns:
    """A caution on its amber ground."""
    box = Columns([[words(said) if isinstance(said, str) else said]], colWidths=["100%"])
    box.setStyle(TableStyle([("BACKGROUND", (0, 0), (-1, -1), AMBER), ("LEFTPADDING", (0, 0), (-1, -1), 8)]))
    return box


def table(
    heads: Sequence[str | Flowable],
    rows: Sequence[Sequence[Flowable | Sequence[Flowable] | str]],
    widths: Sequence[float | str | None],
    *,
    figures: Sequence[int] = (),
    has_total: bool = False,
    is_close: bool = False,
) -> Columns:
    """A ruled table; columns in `figures` are right-aligned, with `has_total` the last row is ruled off and bold,
    `is_close` is small and close together.

    `widths` are points, "30%" of the page's width, or None for the rest. Plain strings are escaped here. Without
    heads the first row is a row like the others.
    """
    body = _cells([heads], figures, "note" if is_close else "small") if heads else []
    usual, last = rows[: len(rows) - has_total], rows[len(rows) - has_total :]
    body += _cells(usual, figures, "close" if is_close else "body") + _cells(last, figures, "bold")
    made = Columns(body, colWidths=list(widths), repeatRows=int(bool(heads)))
    rules: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, int(bool(heads))), (-1, -1), 0.3, RULE),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5 if is_close else 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2 if is_close else 3),
    ]
    if heads:
        rules.append(("LINEBELOW", (0, 0), (-1, 0), 0.8, INK))
    if has_total and rows:
        rules.append(("LINEABOVE", (0, -1), (-1, -1), 0.8, INK))
    made.setStyle(TableStyle(rules))
    return made


def _cells(
    rows: Sequence[Sequence[Flowable | Sequence[Flowable] | str]], figures: Sequence[int], kind: str
) -> list[list[Any]]:
    return [[_cell(cell, place in figures, kind) for place, cell in enumerate(row)] for row in rows]


def _cell(cell: Flowable | Sequence[Flowable] | str, is_figure: bool, kind: str) -> Flowable | Sequence[Flowable]:
    if not isinstance(cell, str):
        return cell
    return words(cell, f"figure_{kind}".removesuffix("_body") if is_figure else kind)


def side_by_side(left: Sequence[Flowable], right: Sequence[Flowable], left_width: str = "50%") -> Columns:
    """Two columns of flowables, their tops level."""
    right_width = f"{100 - int(left_width.rstrip('%'))}%"
    made = Columns([[list(left), list(right)]], colWidths=[left_width, right_width])
    made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0)]))
    return made


def make_file(story: Sequence[Flowable], *, title: str, shop: str, paper_size: str, footer: str = "") -> bytes:
    """The finished PDF. `title` names the file's window, `footer` stands at the foot of every page with its number."""
    return make_pages(story, title=title, shop=shop, paper_size=paper_size, footer=footer)[0]


def make_pages(
    story: Sequence[Flowable], *, title: str, shop: str, paper_size: str, footer: str = "", margin: float = MARGIN
) -> tuple[bytes, int]:
    """The same with how many pages it has."""
    held_by(PAPER)
    width, height = SIZES[paper_size]
    out = BytesIO()
    document = BaseDocTemplate(out, pagesize=(width, height), title=title, author=shop, creator="Shopbook", invariant=1)
    foot_at = margin * 9 / 17

    def foot(canvas: Any, page: Any) -> None:
        canvas.setFillColor(SOFT)
        # A long name ends before the number of the page; all of it stands at the head.
        said = wrap(footer or title, width - 2 * margin - 30, SMALLEST_CLOSE)[0]
        draw_line(canvas, margin, foot_at, said, SMALLEST_CLOSE)
        canvas.setFont("Paper", SMALLEST_CLOSE)
        canvas.drawRightString(width - margin, foot_at, str(page.page))

    frame = Frame(margin, margin, width - 2 * margin, height - 2 * margin, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate("page", [frame], onPage=foot, pagesize=(width, height)))
    document.build(list(story))
    return out.getvalue(), document.page


def draw_words(canvas: Any, left: float, bottom: float, text: str, size: float = 8) -> None:
    """Small soft words beside or under a drawing."""
    canvas.setFillColor(SOFT)
    draw_line(canvas, left, bottom, text, size)


def draw_middle(canvas: Any, text: str, size: float) -> None:
    """Small soft words whose middle stands where the canvas is."""
    canvas.setFillColor(SOFT)
    draw_line(canvas, -width_of(text, size) / 2, 0, text, size)


def draw_number(canvas: Any, middle: float, bottom: float, number: int, size: float = 6.5) -> None:
    """A white number in the middle of a dark mark."""
    held_by(PAPER)
    canvas.setFont("Paper-Bold", size)
    canvas.setFillColor(white)
    canvas.drawCentredString(middle, bottom, str(number))

"""Gross profit and net profit before tax by month: one drawing, as an SVG file and on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, Literal

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from shopbook.documents.faces import PAPER, held_by
from shopbook.trade.measures.amounts import divide_half_away, format_minor
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.results.profit_chart import Axis, MonthProfit, axis_of

GROSS, NET = "gross profit", "net profit before tax"
TITLE = "Gross profit and net profit before tax by month"
WIDE, NARROW = 640, 340
HEIGHT = 250
FACE = "Paper"
_FILLS = {GROSS: (HexColor("#17495a"), HexColor("#17495a")), NET: (HexColor("#cf9f5b"), HexColor("#8a6427"))}
_LOSS, _INK, _RULE = HexColor("#a32020"), HexColor("#1b1f24"), HexColor("#dcd7cc")
_LINE, _FOOT, _HEAD = 14, 26, 44
"""Height of a line of words; what the months take below the axis, and the words above it."""
_UNITS = ((1, ""), (1_000, "thousands"), (1_000_000, "millions"))

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class ChartMoney:
    """How the chart writes amounts: the currency's sign and decimals, and the locale."""

    sign: str = "$"
    places: int = 2
    locale: str = ENGLISH


def chart_svg(rows: Sequence[MonthProfit], money: ChartMoney, width: int = WIDE) -> str:
    """The chart as an SVG file; colours are attributes, so that the strict policy holds; its title is `chart_words`."""
    drawn: str = renderSVG.drawToString(_draw(rows, money, width))
    named = drawn.replace("<title>...</title>", f"<title>{escape(chart_words(rows, money))}</title>")
    bold = named.replace(f"font-family: {FACE}-Bold", f"font-weight: bold; font-family: {FACE}")
    return bold.replace(f"font-family: {FACE}", "font-family: system-ui, sans-serif")


def chart_flowable(rows: Sequence[MonthProfit], money: ChartMoney, width: float = WIDE) -> Flowable:
    """The same drawing for a paper, `width` points wide."""
    drawing = _draw(rows, money, WIDE)
    drawing.scale(width / WIDE, width / WIDE)
    drawing.width, drawing.height = width, HEIGHT * width / WIDE
    return drawing


def chart_words(rows: Sequence[MonthProfit], money: ChartMoney) -> str:
    """The chart in words, for whoever does not see it: every month with its figures to the unit."""
    said = []
    for row in rows:
        net = "not known" if row.net_minor is None else _whole(row.net_minor, money)
        said.append(f"{row.name} {_whole(row.gross_minor, money)} and {net}")
    return f"{TITLE}, in {money.sign.strip()}: {'; '.join(said)}."


def _whole(minor: int, money: ChartMoney) -> str:
    return format_minor(divide_half_away(minor, 10**money.places), 0, locale=money.locale)


class _Scale:
    """Where an amount stands on the drawing, and how it is written."""

    def __init__(self, rows: Sequence[MonthProfit], money: ChartMoney, width: int) -> None:
        self.money, self.width = money, width
        self.axis: Axis = axis_of(rows, 10**money.places)
        most = max(abs(amount) for row in rows for amount in (0, *row.amounts)) // 10**money.places if rows else 0
        self.unit, self.word = [(unit, word) for unit, word in _UNITS if unit <= max(1, most)][-1]
        self.size = 11 if width < WIDE else 12
        self.ticks = [(tick, self.said(tick, is_tick=True)) for tick in self.axis.ticks]
        self.left = 10 + max(stringWidth(words, FACE, self.size) for _, words in self.ticks)

    def y(self, minor: int) -> float:
        span = self.axis.high_minor - self.axis.low_minor
        return _FOOT + _LINE + (minor - self.axis.low_minor) / span * (HEIGHT - _HEAD - _FOOT - _LINE - self.size)

    def said(self, minor: int, *, is_tick: bool = False) -> str:
        """In the chart's unit: a tenth of a thousand; whole where that is the amount or every tick is."""
        whole = self.unit * 10**self.money.places
        if self.unit == 1 or minor == 0 or (is_tick and self.axis.step_minor % whole == 0):
            return format_minor(divide_half_away(minor, whole), 0, locale=self.money.locale)
        return format_minor(divide_half_away(minor * 10, whole), 1, locale=self.money.locale)


def _draw(rows: Sequence[MonthProfit], money: ChartMoney, width: int) -> Drawing:
    held_by(PAPER)
    scale = _Scale(rows, money, width)
    drawing = Drawing(width, HEIGHT)
    for shape in (*_legend(rows, scale), *_grid(scale), *_months(rows, scale)):
        drawing.add(shape)
    return drawing


def _legend(rows: Sequence[MonthProfit], scale: _Scale) -> Iterator[Any]:
    left, top = 4.0, HEIGHT - 14
    for words in (GROSS, NET) if any(row.net_minor is not None for row in rows) else (GROSS,):
        yield Rect(left, top, 11, 11, **_ink(*_FILLS[words]))
        yield _words(left + 16, top + 1, words, scale.size, "start")
        left += 32 + stringWidth(words, FACE, scale.size)
    unit = f"{scale.word} of {scale.money.sign.strip()}" if scale.word else scale.money.sign.strip()
    yield _words(4, top - _LINE - 3, unit, scale.size, "start")


def _grid(scale: _Scale) -> Iterator[Any]:
    for tick, words in scale.ticks:
        at = scale.y(tick)
        yield Line(scale.left, at, scale.width - 4, at, strokeColor=_RULE if tick else _INK, strokeWidth=0.8)
        yield _words(scale.left - 6, at - scale.size / 3, words, scale.size, "end")


def _months(rows: Sequence[MonthProfit], scale: _Scale) -> Iterator[Any]:
    step = (scale.width - 4 - scale.left) / max(1, len(rows))
    thick = min(34.0, step * 0.36)
    for place, row in enumerate(rows):
        middle = scale.left + (place + 0.5) * step
        bars = [(middle - thick - 1, row.gross_minor, GROSS)]
        bars += [(middle + 1, row.net_minor, NET)] if row.net_minor is not None else []
        if row.net_minor is None:
            bars = [(middle - thick / 2, row.gross_minor, GROSS)]
        yield from (_bar(left, thick, amount, kind, scale) for left, amount, kind in bars)
        yield from _figures([(left + thick / 2, amount) for left, amount, _ in bars], scale)
        yield _words(middle, 6, row.name, scale.size, "middle")


def _bar(left: float, thick: float, amount: int, kind: str, scale: _Scale) -> Rect:
    """From zero up, or down where it is below zero; a loss of the net profit is red."""
    ends = sorted((scale.y(0), scale.y(amount)))
    fill, edge = (_LOSS, _LOSS) if kind == NET and amount < 0 else _FILLS[kind]
    return Rect(left, ends[0], thick, ends[1] - ends[0], **_ink(fill, edge))


def _figures(bars: Sequence[tuple[float, int]], scale: _Scale) -> Iterator[String]:
    """The figure at the end of each bar; where two would touch, the first stands a line further out."""
    placed = [(middle, amount, _beside(amount, scale), scale.said(amount)) for middle, amount in bars]
    if len(placed) == 2 and _touch(placed[0], placed[1], scale):
        middle, amount, at, said = placed[0]
        away = scale.size if amount >= 0 else -scale.size
        placed[0] = (middle, amount, placed[1][2] + away, said)
    for middle, _, at, said in placed:
        yield _words(middle, at, said, scale.size - 1, "middle", is_bold=True)


def _beside(amount: int, scale: _Scale) -> float:
    return scale.y(amount) + (4 if amount >= 0 else -scale.size)


def _touch(one: tuple[float, int, float, str], two: tuple[float, int, float, str], scale: _Scale) -> bool:
    wide = sum(stringWidth(said, f"{FACE}-Bold", scale.size - 1) for *_, said in (one, two)) / 2 + 3
    return abs(one[2] - two[2]) < scale.size and two[0] - one[0] < wide


def _words(left: float, bottom: float, words: str, size: float, anchor: Anchor, *, is_bold: bool = False) -> String:
    face = f"{FACE}-Bold" if is_bold else FACE
    return String(left, bottom, words, textAnchor=anchor, fontSize=size, fontName=face, fillColor=_INK)


def _ink(fill: Color, edge: Color) -> dict[str, Any]:
    return {"fillColor": fill, "strokeColor": edge, "strokeWidth": 0.6}

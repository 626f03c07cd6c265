"""The program's signs on paper: a car with its hurt panels, the coats on one, and a signature as it was drawn."""

from collections.abc import Mapping, Sequence
from typing import Any

import segno
from reportlab.lib.colors import Color, HexColor, black
from reportlab.platypus import Flowable

from shopbook.documents.page import INK, RULE, SOFT, draw_middle, draw_number, draw_words
from shopbook.trade.agreeing.signatures import HEIGHT, WIDTH, read_strokes
from shopbook.trade.car import outline as car_outline
from shopbook.trade.car.damage import COAT_WORDS
from shopbook.trade.car.sides import Sides

_QUIET = 4
_FILLS = {
    "metal": "#9aa3ab",
    "plastic": "#6d6a75",
    "old": "#c9bfae",
    "filler": "#d7b98c",
    "primer": "#b9bdc2",
    "base": "#ffffff",
    "clear": "#e8f0f5",
}


class CoatsSign(Flowable):
    """The coats on one panel, bottom to top: what is there is solid, what comes is dashed; names stand beside."""

    def __init__(self, on: Sequence[str], due: Sequence[str], colour: str = "", clear: str = "clear") -> None:
        super().__init__()
        self.on, self.due, self.colour = list(on), list(due), colour
        self.words = COAT_WORDS | {"clear": clear}
        self.width, self.step = 118.0, 9.0
        self.height = self.step * (len(self.on) + len(self.due)) + 3

    def draw(self) -> None:
        for place, name in enumerate([*self.on, *self.due]):
            is_on = place < len(self.on)
            self._bar(name, 1 + place * self.step, is_on)

    def _bar(self, name: str, bottom: float, is_on: bool) -> None:
        canvas: Any = self.canv
        canvas.saveState()
        canvas.setStrokeColor(INK if is_on else SOFT)
        canvas.setLineWidth(0.6)
        if is_on:
            canvas.setFillColor(self._fill(name))
        else:
            canvas.setDash(2, 2)
        canvas.rect(0.5, bottom, 50, self.step - 2.5, stroke=1, fill=int(is_on))
        canvas.restoreState()
        said = self.words.get(name, name)
        draw_words(canvas, 56, bottom + 1, said if is_on else f"{said}, to come", 7)

    def _fill(self, name: str) -> Color:
        return HexColor(self.colour if name == "base" and self.colour else _FILLS.get(name, "#ffffff"))


class OutlineSign(Flowable):
    """A car folded flat, front to the left, its sides named; panels of `marks` are filled and carry their number."""

    def __init__(self, marks: Mapping[str, int], sides: Sides, width: float = 147.0) -> None:
        super().__init__()
        self.marks, self.sides, self.width = marks, sides, width
        self.scale = width / car_outline.WIDTH
        self.height = car_outline.HEIGHT * self.scale

    def draw(self) -> None:
        canvas: Any = self.canv
        canvas.setStrokeColor(SOFT)
        canvas.setLineWidth(0.5)
        canvas.setFillColor(HexColor("#c9ccd1"))
        for x, y in car_outline.WHEELS:
            canvas.circle(*self._at(x, y), car_outline.WHEEL_RADIUS * self.scale, fill=1)
        self._path(car_outline.GLASS, "#ebe6dc")
        drawn = car_outline.drawn_panels(self.marks)
        for code in sorted(drawn, key=self.marks.__contains__):
            self._panel(code)
        self._path(car_outline.TRIM)
        for said in car_outline.said_around(self.sides):
            self._name(said)

    def _name(self, said: car_outline.NamePlace) -> None:
        canvas: Any = self.canv
        canvas.saveState()
        canvas.translate(*self._at(said.x, said.y))
        # A picture on screen turns with the clock, paper against it.
        canvas.rotate(-said.turn)
        draw_middle(canvas, said.words.upper(), 5)
        canvas.restoreState()

    def _panel(self, code: str) -> None:
        canvas, shape = self.canv, car_outline.PANEL_SHAPES[code]
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.9 if code in self.marks else 0.5)
        self._path(shape.path, "#ecdba4" if code in self.marks else "#ffffff")
        if code in self.marks:
            x, y = self._at(shape.x, shape.y)
            canvas.setFillColor(INK)
            canvas.circle(x, y, 4.6, stroke=0, fill=1)
            draw_number(canvas, x, y - 2.3, self.marks[code])

    def _path(self, path: str, fill: str = "") -> None:
        drawn: Any = self.canv.beginPath()
        steps = {"M": drawn.moveTo, "L": drawn.lineTo, "C": drawn.curveTo, "Z": drawn.close}
        for letter, numbers in car_outline.path_steps(path):
            points = (self._at(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True))
            steps[letter](*(each for point in points for each in point))
        if fill:
            self.canv.setFillColor(HexColor(fill))
        self.canv.drawPath(drawn, stroke=1, fill=int(bool(fill)))

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return (x - car_outline.LEFT) * self.scale, (car_outline.HEIGHT + car_outline.TOP - y) * self.scale


class CodeSign(Flowable):
    """An address as a code that a phone's camera reads, with the white edge it needs (ISO/IEC 18004: four modules)."""

    def __init__(self, text: str, side: float = 74.0) -> None:
        super().__init__()
        self.rows = list(segno.make(text, error="m", micro=False).matrix)
        self.width = self.height = side

    def draw(self) -> None:
        canvas: Any = self.canv
        module = self.width / (len(self.rows) + 2 * _QUIET)
        canvas.setFillColor(black)
        for down, row in enumerate(self.rows):
            for along, is_dark in enumerate(row):
                if is_dark:
                    left, top = (along + _QUIET) * module, self.height - (down + _QUIET) * module
                    canvas.rect(left, top - module, module, module, stroke=0, fill=1)


class SignatureSign(Flowable):
    """A signature on its line; without a path the line alone, for a pen."""

    def __init__(self, path: str = "", below: str = "", width: float = 190.0) -> None:
        super().__init__()
        self.path, self.below, self.width = path, below, width
        self.scale = width / WIDTH
        self.height = HEIGHT * self.scale * (1.0 if path else 0.72)

    def draw(self) -> None:
        canvas: Any = self.canv
        line = (HEIGHT - 84) * self.scale
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.8)
        canvas.line(20 * self.scale, line, (WIDTH - 20) * self.scale, line)
        draw_words(canvas, 20 * self.scale, line - 9, self.below, 7)
        if not self.path:
            return
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(1.4)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        for stroke in read_strokes(self.path):
            drawn = canvas.beginPath()
            drawn.moveTo(*self._at(stroke[0]))
            for point in stroke[1:] or stroke:
                drawn.lineTo(*self._at(point))
            canvas.drawPath(drawn)

    def _at(self, point: tuple[int, int]) -> tuple[float, float]:
        return point[0] * self.scale, (HEIGHT - point[1]) * self.scale

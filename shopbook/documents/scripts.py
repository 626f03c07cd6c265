"""A line of text in any script: cut into runs of one face, shaped, put in the order it is read in, and drawn.

Order is that of the Unicode bidirectional algorithm (UAX 9); glyphs of Hebrew, Arabic, Devanagari and Thai are chosen
and placed by HarfBuzz. A run is drawn with the text that it stands for, so that a reader finds and copies the name.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import Any
from unicodedata import category, normalize

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfbase.ttfonts import shapeStr

from shopbook.documents.faces import PAPER, Face, face_of, faces_for, held_by, refuse_unprintable, shows

_HOLDING = dict.fromkeys(map(ord, "\u2007\u202f"), "\u00a0")


@dataclass(frozen=True, slots=True)
class Run:
    """Letters of one face and one direction, in the order in which they are read."""

    text: str
    face: Face
    level: int
    """Odd: read from the right."""

    def drawn(self, size: float, is_bold: bool) -> str:
        """What is handed to the page, from the left: shaped glyphs, or letters turned round."""
        if self.face.is_shaped:
            shaped: str = shapeStr(self.text, self.face.font(is_bold), size, force=True)
            return shaped
        return "".join(_mirrored(letter) for letter in reversed(self.text)) if self.level % 2 else self.text

    def width(self, size: float, is_bold: bool) -> float:
        """How wide it stands, in points."""
        drawn = self.drawn(size, is_bold)
        placed = getattr(drawn, "__shapeData__", None)
        if placed is None:
            return float(stringWidth(drawn, self.face.font(is_bold), size))
        return float(sum(each.x_advance for each in placed)) * size / 1000


def as_printed(text: str) -> str:
    """Letters with their accents as one, and every space that holds figures together as the one that is printed."""
    return normalize("NFC", text).translate(_HOLDING)


def is_plain(text: str) -> bool:
    """Whether the paper's own face holds all of a text, so that nothing of this module is needed."""
    held = held_by(PAPER)
    return all(ord(letter) in held or not shows(letter) for letter in as_printed(text))


def reads_from_right(text: str) -> bool:
    """Whether the first letter that has a direction is one of a right-to-left script."""
    if is_plain(text):
        return False
    from bidi.algorithm import get_base_level  # type: ignore[import-untyped]

    return bool(get_base_level(text) % 2)


@cache
def runs_of(text: str) -> tuple[Run, ...]:
    """The runs of one line from left to right, as they are drawn."""
    runs = [
        Run("".join(letter for letter, _, _ in group), face, level)
        for (face, level), group in groupby(_letters(as_printed(text)), key=lambda each: (each[1], each[2]))
    ]
    return tuple(_from_left(runs))


def width_of(text: str, size: float, *, is_bold: bool = False) -> float:
    """How wide a line of text stands, in points."""
    return sum(run.width(size, is_bold) for run in runs_of(text))


def draw_line(canvas: Any, left: float, bottom: float, text: str, size: float, *, is_bold: bool = False) -> None:
    """One line of text with its left end at `left`; RuleBroken for a letter that no face holds."""
    for run in runs_of(text):
        drawn, is_told = run.drawn(size, is_bold), run.face is not PAPER or run.level % 2
        if is_told:
            # Shaped glyphs have code points of their own: what they stand for is said beside them (PDF 1.7, 14.9.4).
            said = run.text.encode("utf-16-be").hex().upper()
            canvas._code.append(f"/Span <</ActualText <FEFF{said}>>> BDC")
        piece = canvas.beginText(left, bottom)
        piece.setFont(run.face.font(is_bold), size)
        piece.textOut(drawn)
        canvas.drawText(piece)
        if is_told:
            canvas._code.append("EMC")
        left += run.width(size, is_bold)


def wrap(text: str, width: float, size: float, *, is_bold: bool = False) -> list[str]:
    """The lines of a text that are no wider than `width`: broken between words, a word too wide for a line within."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width_of(longer, size, is_bold=is_bold) <= width:
            lines[-1] = longer
            continue
        *whole, last = _pieces(word, width, size, is_bold)
        lines[-1:] = [*([lines[-1]] if lines[-1] else []), *whole, last]
    return lines


def _pieces(word: str, width: float, size: float, is_bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        is_wide = width_of(pieces[-1] + letter, size, is_bold=is_bold) > width
        if is_wide and pieces[-1] and not category(letter).startswith("M"):
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _letters(text: str) -> Iterator[tuple[str, Face, int]]:
    """Each letter with its face and level; a joiner goes to the shaped face before it, or nowhere. RuleBroken for a
    letter that no face holds."""
    refuse_unprintable(text)
    faces, face = faces_for(text), PAPER
    for letter, level in _levels(text, is_plain=len(faces) == 1):
        if not shows(letter) and letter not in " \u00a0":
            if face.is_shaped:
                yield letter, face, level
            continue
        face = face_of(letter, faces) or face
        yield letter, face, level


def _levels(text: str, *, is_plain: bool) -> list[tuple[str, int]]:
    """Every letter with its embedding level; those that only mark a direction are gone."""
    if is_plain:
        return [(letter, 0) for letter in text]
    from bidi import algorithm  # type: ignore[import-untyped]

    storage = algorithm.get_empty_storage()
    storage["base_level"] = algorithm.get_base_level(text)
    storage["base_dir"] = ("L", "R")[storage["base_level"]]
    algorithm.get_embedding_levels(text, storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    return [(each["ch"], each["level"]) for each in storage["chars"]]


def _from_left(runs: Sequence[Run]) -> list[Run]:
    """Rule L2 of UAX 9: from the highest level down to 1, each row of runs at that level or above is turned round."""
    turned = list(runs)
    for level in range(max((run.level for run in runs), default=0), 0, -1):
        rows = [list(row) for _, row in groupby(turned, key=lambda run: run.level >= level)]
        turned = [run for row in rows for run in (reversed(row) if row[0].level >= level else row)]
    return turned


def _mirrored(letter: str) -> str:
    from bidi.mirror import MIRRORED  # type: ignore[import-untyped]

    return str(MIRRORED.get(letter, letter))

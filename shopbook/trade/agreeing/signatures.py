"""A signature as it comes from the pad: an SVG path of moves and lines, checked before it is kept or drawn."""

import re

from shopbook.trade.errors import RuleBroken

WIDTH, HEIGHT = 320, 110
"""The pad's own measures; a path never leaves them."""

LONGEST = 20_000
_PATH = re.compile(r"(?:M\d{1,3} \d{1,3}(?:L\d{1,3} \d{1,3})*)+", re.ASCII)
_POINT = re.compile(r"([ML])(\d{1,3}) (\d{1,3})", re.ASCII)

Strokes = tuple[tuple[tuple[int, int], ...], ...]


def check_signature(path: str) -> str:
    """The path as it was sent, or empty when nothing was drawn. RuleBroken for what the pad cannot have drawn."""
    drawn = path.strip()
    if drawn:
        read_strokes(drawn)
    return drawn


def read_strokes(path: str) -> Strokes:
    """The strokes of a path as points from the upper left corner. RuleBroken for what the pad cannot have drawn."""
    if len(path) > LONGEST or not _PATH.fullmatch(path):
        raise RuleBroken("The signature could not be read. Clear it and sign again.", "signature")
    strokes: list[list[tuple[int, int]]] = []
    for letter, across, down in _POINT.findall(path):
        if letter == "M":
            strokes.append([])
        strokes[-1].append((int(across), int(down)))
    if any(across > WIDTH or down > HEIGHT for stroke in strokes for across, down in stroke):
        raise RuleBroken("The signature went off the pad. Clear it and sign again.", "signature")
    return tuple(tuple(stroke) for stroke in strokes)

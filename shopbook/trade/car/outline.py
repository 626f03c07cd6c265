"""A car folded flat, front to the left: what screen and paper draw of it, in units of a box that begins at (LEFT, TOP).

It is seen from above, and whoever sits in it looks to the left of the picture: the car's left side is the lower one.
"""

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

from shopbook.trade.car.sides import Sides

WIDTH, HEIGHT, LEFT, TOP = 392, 362, -20, -38
WHEEL_RADIUS = 17
WHEELS = ((92, 12), (281, 12), (92, 272), (281, 272))

_STEP = re.compile(r"([MLCZ])([^MLCZ]*)")


class PanelShape(NamedTuple):
    """A panel's outline as an SVG path of M, L, C and Z, and the middle that carries its number."""

    path: str
    x: int
    y: int


PANEL_SHAPES = {
    "right_sill": PanelShape(
        "M131 10L131 -8C131.7 -12 134 -14 138 -14L246 -14C250 -14 252 -12 252 -8L252 10Z",
        191,
        -2,
    ),
    "right_front_wing": PanelShape(
        "M50 64L50 22L62 14L70 14C70 26.2 79.8 36 92 36C104.2 36 114 26.2 114 14L128 14L128 64Z",
        76,
        42,
    ),
    "right_front_door": PanelShape("M131 64L131 14L191 14L191 64Z", 161, 39),
    "right_rear_door": PanelShape("M194 64L194 14L252 14L252 64Z", 223, 39),
    "right_quarter": PanelShape(
        "M255 64L255 14L259 14C259 26.2 268.8 36 281 36C293.2 36 303 26.2 303 14L311 18L311 50L297 64Z",
        275,
        48,
    ),
    "front_bumper": PanelShape("M46 78L26 78C10 87.3 2 108.7 2 142C2 175.3 10 196.7 26 206L46 206Z", 26, 142),
    "bonnet": PanelShape("M50 78L126 78L126 206L50 206Z", 88, 142),
    "roof": PanelShape("M160 86L230 86L230 198L160 198Z", 195, 142),
    "boot_lid": PanelShape("M258 78L302 78L302 206L258 206Z", 280, 142),
    "tailgate": PanelShape("M258 78L302 78L302 206L258 206Z", 280, 142),
    "rear_bumper": PanelShape(
        "M306 78L324 78C341.3 91.3 350 112.7 350 142C350 171.3 341.3 192.7 324 206L306 206Z",
        327,
        142,
    ),
    "left_front_wing": PanelShape(
        "M50 220L50 262L62 270L70 270C70 257.8 79.8 248 92 248C104.2 248 114 257.8 114 270L128 270L128 220Z",
        76,
        242,
    ),
    "left_front_door": PanelShape("M131 220L131 270L191 270L191 220Z", 161, 245),
    "left_rear_door": PanelShape("M194 220L194 270L252 270L252 220Z", 223, 245),
    "left_quarter": PanelShape(
        "M255 220L255 270L259 270C259 257.8 268.8 248 281 248C293.2 248 303 257.8 303 270L311 266L311 234L297 220Z",
        275,
        236,
    ),
    "left_sill": PanelShape(
        "M131 274L131 292C131.7 296 134 298 138 298L246 298C250 298 252 296 252 292L252 274Z",
        191,
        286,
    ),
}
"""Mirrors, grille and "other" are not drawn. Boot lid and tailgate share one place."""

GLASS = (
    "M130 82L156 90L156 194L130 202ZM254 82L234 90L234 194L254 202ZM136 68L189 68L189 80L162 80Z"
    "M196 68L248 68L228 80L196 80ZM136 216L189 216L189 204L162 204ZM196 216L248 216L228 204L196 204Z"
)
TRIM = (
    "M176 50L185 50M238 50L247 50M176 234L185 234M238 234L247 234M58 92C80.7 86.7 100.7 86.7 118 92"
    "M58 192C80.7 197.3 100.7 197.3 118 192M10 100C14 105.3 15.3 111.3 14 118"
    "M10 184C14 178.7 15.3 172.7 14 166M342 100C338 105.3 336.7 111.3 338 118"
    "M342 184C338 178.7 336.7 172.7 338 166"
)


class NamePlace(NamedTuple):
    """Where a name stands beside the drawing: its middle on the line it stands on, turned by so many degrees."""

    words: str
    x: int
    y: int
    turn: int


def said_around(sides: Sides) -> tuple[NamePlace, ...]:
    """The names around the drawing: both sides as the shop says them, front and rear."""
    return (
        NamePlace(sides.at_head, 191, -22, 0),
        NamePlace(sides.at_foot, 191, 315, 0),
        NamePlace("front", -7, 142, -90),
        NamePlace("rear", 358, 142, 90),
    )


def drawn_panels(marked: Collection[str]) -> list[str]:
    """The panels that a picture shows: of boot lid and tailgate the one that is marked, the lid without either."""
    hidden = "boot_lid" if "tailgate" in marked and "boot_lid" not in marked else "tailgate"
    return [code for code in PANEL_SHAPES if code != hidden]


def path_steps(path: str) -> Iterator[tuple[str, tuple[float, ...]]]:
    """The steps of a path here: ("M", (x, y)), ("L", (x, y)), ("C", two handles and an end), ("Z", ()); y runs down."""
    for letter, numbers in _STEP.findall(path):
        yield letter, tuple(float(number) for number in numbers.split())

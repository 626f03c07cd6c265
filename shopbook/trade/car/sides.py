"""The two sides of a car as a shop says them, always as sitting in it: the left hand of whoever drives is its left."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class SideWay(StrEnum):
    """How a shop tells a car's two sides apart. The nearside is the one at the kerb: the left where one drives on the
    left (United Kingdom, Ireland, Australia, New Zealand), the right elsewhere. Common use in the trade, from memory.
    """

    LEFT_RIGHT = "left_right"
    NEARSIDE_LEFT = "nearside_left"
    NEARSIDE_RIGHT = "nearside_right"


WAY_WORDS: dict[SideWay, str] = {
    SideWay.LEFT_RIGHT: "Left and right",
    SideWay.NEARSIDE_LEFT: "Nearside (left), offside",
    SideWay.NEARSIDE_RIGHT: "Nearside (right), offside",
}


@dataclass(frozen=True, slots=True)
class Side:
    """One side of the car: in lists and on papers, on the drawing, on the floor and its labels."""

    listed: str
    drawn: str
    floor: str


@dataclass(frozen=True, slots=True)
class Sides:
    """Both sides in one way of saying them: "left front door" and "LH front door" of the same panel."""

    left: Side
    right: Side

    def listed(self, code: str, words: str) -> str:
        """A panel in a list: "nearside front wing" of left_front_wing, "left front wing"; no side, no change."""
        return self._said(code, words, "listed")

    def on_floor(self, code: str, words: str) -> str:
        """A panel on a floor list or a label: "LH front door" of left_front_door, "left front door"."""
        return self._said(code, words, "floor")

    def _said(self, code: str, words: str, where: str) -> str:
        for plain, side in (("left", self.left), ("right", self.right)):
            if code.startswith(f"{plain}_"):
                return f"{getattr(side, where)} {words.removeprefix(f'{plain} ')}"
        return words

    @property
    def at_foot(self) -> str:
        """The name along the foot of a drawing with the front to the left: "driver side · left"."""
        return _with_plain(self.left.drawn, "left")

    @property
    def at_head(self) -> str:
        """The name along its head: "passenger side · right"."""
        return _with_plain(self.right.drawn, "right")


def _with_plain(drawn: str, plain: str) -> str:
    """The plain word beside: a car may have its wheel on the other side, and lists say left and right."""
    return drawn if drawn == plain else f"{drawn} · {plain}"


def read_sides(told: Mapping[str, Mapping[str, Any]]) -> dict[SideWay, Sides]:
    """The ways of a country, its usual one first, from the table [sides] of its file."""
    return {
        SideWay(way): Sides(
            *(Side(*pair) for pair in zip(words["listed"], words["drawn"], words["floor"], strict=True))
        )
        for way, words in told.items()
    }

"""A colour as it was mixed for a car, its formula, and what its spray-out card said beside the car.

A spray-out card is a small panel sprayed with the mix, gun and coats of the job and held against the car. It is
common practice: the same code is mixed in several variants, and only a sprayed card tells which one a car has.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Protocol, TypeVar


class CardVerdict(StrEnum):
    """What the card said beside the car: spray as mixed, blend into the next panels, change the formula first."""

    NOT_YET = ""
    MATCH = "match"
    BLEND = "blend"
    RETINT = "retint"


VERDICT_WORDS: dict[CardVerdict, str] = {
    CardVerdict.NOT_YET: "Not compared yet",
    CardVerdict.MATCH: "Match",
    CardVerdict.BLEND: "Blend",
    CardVerdict.RETINT: "Re-tint",
}
CAN_BE_SPRAYED = frozenset({CardVerdict.MATCH, CardVerdict.BLEND})


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """One toner of a formula, in thousandths of a gram."""

    name: str
    thousandths_g: int


_LINE = re.compile(r"(?P<name>.*\S)(?:\s*[:;]\s*|,?\s+)(?P<grams>\d{1,6}(?:[.,]\d{1,3})?)\s*g?", re.IGNORECASE)


def read_formula(text: str) -> tuple[FormulaLine, ...]:
    """The lines of a formula in grams, "White 412.5"; none where one of them ends in no weight: then it is text.

    "White 412.5", "Black: 30 g" are two lines, 442.5 g in all; "Mixed by the paint store, can 2" is text.
    """
    found = []
    for line in filter(None, map(str.strip, text.splitlines())):
        match = _LINE.fullmatch(line)
        if match is None:
            return ()
        whole, _, part = match["grams"].replace(",", ".").partition(".")
        found.append(FormulaLine(match["name"].strip(" :;,"), int(whole) * 1000 + int(part.ljust(3, "0"))))
    # One line alone is no formula: "Mixed by the paint store, can 2" ends in a figure too.
    return tuple(found) if len(found) > 1 else ()


class SprayOutCard(Protocol):
    """What a choice among cards reads of each."""

    @property
    def id(self) -> int: ...
    @property
    def vehicle_id(self) -> int: ...
    @property
    def variant(self) -> str: ...
    @property
    def made_on(self) -> date: ...
    @property
    def verdict(self) -> str: ...


_Card = TypeVar("_Card", bound=SprayOutCard)


def card_to_start_from(cards: Sequence[_Card], vehicle_id: int | None) -> _Card | None:
    """The card that the next job in a colour starts from, of the cards of that colour; None where there is none.

    This car's own come first, then those of other cars. Among them the newest that can be sprayed (match or blend), and
    until one can, the newest. Re-tint on 9 October does not hide the blend of 2 March.
    """

    def rank(card: _Card) -> tuple[bool, bool, date, int]:
        return card.vehicle_id == vehicle_id, card.verdict in CAN_BE_SPRAYED, card.made_on, card.id

    return max(cards, key=rank, default=None)


def verdict_of(cards: Sequence[SprayOutCard], variant: str) -> CardVerdict:
    """What the cards of one job say of a colour that was sprayed: the newest verdict, of its variant if it has one."""
    said = [card for card in cards if card.verdict and variant in ("", card.variant)]
    newest = max(said, key=lambda card: (card.made_on, card.id), default=None)
    return CardVerdict(newest.verdict) if newest else CardVerdict.NOT_YET


def say_colour(code: str, variant: str, shade: str) -> str:
    """Code, variant and shade in one line: "B21, variant 3, darker"."""
    return ", ".join(filter(None, (code, f"variant {variant}" if variant else "", shade)))

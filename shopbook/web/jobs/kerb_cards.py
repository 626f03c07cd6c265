"""What was tapped and typed for each panel of a price at the car, read from the form."""

from dataclasses import dataclass, field
from enum import StrEnum

from werkzeug.datastructures import MultiDict

from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.web.parts import country, key_or_none

MOST_DAYS = 200


@dataclass(slots=True)
class Card:
    """What was tapped and typed for one panel, and a sentence for each field that cannot be read."""

    panel: str
    size: str = SizeStep.M.value
    paint: str = PaintChoice.PAINT.value
    count: str = ""
    dent_class: str = "30"
    price: str = ""
    words: str = ""
    troubles: dict[str, str] = field(default_factory=dict)
    price_minor: int | None = None
    is_typed: bool = False
    listed_minor: int | None = None


def read_cards(values: MultiDict[str, str]) -> list[Card]:
    """The cards of the panels that were tapped, in that order, each once."""
    codes = [code for code in dict.fromkeys(values.getlist("panel")) if code in country().panels]
    return [_read_card(code, values) for code in codes]


def _read_card(code: str, values: MultiDict[str, str]) -> Card:
    card = Card(
        code,
        size=_one_of(values.get(f"size.{code}"), SizeStep, SizeStep.M),
        paint=_one_of(values.get(f"paint.{code}"), PaintChoice, PaintChoice.PAINT),
        count=values.get(f"count.{code}", "").strip()[:8],
        dent_class=values.get(f"class.{code}", "30").strip()[:8],
        price=values.get(f"price.{code}", "").strip()[:40],
        words=values.get(f"words.{code}", "").strip()[:200],
    )
    if card.count and not 1 <= (key_or_none(card.count) or 0) <= 2000:
        card.troubles["count"] = "Enter the number of small dents, from 1 to 2000."
    _read_price(card, values.get(f"listed.{code}", ""))
    return card


def _read_price(card: Card, listed: str) -> None:
    """A price that differs from what the list said when the page was made was typed, and wins over the list."""
    if not card.price:
        return
    try:
        minor = country().read_money(card.price)
        if minor < 0:
            raise RuleBroken("Enter a price of zero or more, for example 120 or 120.50.")
        card.price_minor, card.is_typed = minor, str(minor) != listed
    except RuleBroken as broken:
        card.troubles["price"] = broken.sentence
        card.is_typed = True


def _one_of(given: str | None, words: type[StrEnum], usual: str) -> str:
    return given if given is not None and given in set(words) else str(usual)


def read_days(values: MultiDict[str, str]) -> tuple[int | None, str]:
    typed = values.get("days", "").strip()
    if not typed or typed == values.get("listed_days"):
        return None, ""
    wanted = key_or_none(typed) or 0
    if 1 <= wanted <= MOST_DAYS:
        return wanted, ""
    return None, "Enter whole working days, from 1 to 200."

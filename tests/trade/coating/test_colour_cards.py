"""A formula as it was typed, and the card that the next job starts from."""

from dataclasses import dataclass
from datetime import date

import pytest

from shopbook.trade.coating.colour_cards import FormulaLine, card_to_start_from, read_formula, say_colour, verdict_of

MARCH, OCTOBER = date(2026, 3, 2), date(2026, 10, 9)


@dataclass(frozen=True)
class Card:
    id: int
    vehicle_id: int
    made_on: date
    verdict: str
    variant: str = ""


def test_lines_of_toner_and_grams_are_a_formula_and_are_summed() -> None:
    lines = read_formula("White 412.5\n\nBlack: 30 g\nBlue 7 deep 0,25")
    assert lines == (FormulaLine("White", 412_500), FormulaLine("Black", 30_000), FormulaLine("Blue 7 deep", 250))
    assert sum(line.thousandths_g for line in lines) == 442_750


@pytest.mark.parametrize("text", ["", "Mixed by the paint store, can 2", "White 412.5\nthen to taste", "White\n30 g"])
def test_what_has_a_line_without_a_weight_is_text(text: str) -> None:
    assert read_formula(text) == ()


def test_the_newest_card_that_can_be_sprayed_counts_and_this_car_comes_first() -> None:
    """A re-tint of October does not hide the blend of March; another car's match never hides this car's own."""
    blend, retint, other = Card(1, 7, MARCH, "blend"), Card(2, 7, OCTOBER, "retint"), Card(3, 8, OCTOBER, "match")
    assert card_to_start_from([retint, blend, other], 7) is blend
    assert card_to_start_from([retint], 7) is retint
    assert card_to_start_from([retint, blend, other], 9) is other
    assert card_to_start_from([], 7) is None


def test_a_spraying_takes_the_newest_verdict_of_its_own_variant() -> None:
    cards = [Card(1, 7, MARCH, "blend", "2"), Card(2, 7, OCTOBER, "match", "3"), Card(3, 7, OCTOBER, "", "2")]
    assert verdict_of(cards, "2") == "blend"
    assert verdict_of(cards, "") == "match"
    assert verdict_of(cards, "5") == ""


def test_a_colour_is_said_by_code_variant_and_shade() -> None:
    assert say_colour("B21", "3", "darker") == "B21, variant 3, darker"
    assert say_colour("B21", "", "") == "B21"

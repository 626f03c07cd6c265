"""Paint and materials: one rule by payer, a door in figures under each rule, and a missing price that changes none."""

import pytest

from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import MaterialsRates, MaterialsRule, PaintWork, QuoteRates, price_materials, typed_hours
from shopbook.trade.pricing.materials import REFINISH_STAGES, materials_price
from shopbook.trade.pricing.pack_guesses import PACK_PERMILLE, USUAL_PERMILLE, guessed_cost

RATES = MaterialsRates(
    {"any": MaterialsRule.SHELF, "insurer": MaterialsRule.REFINISH_HOUR},
    refinish_hour_minor=4200,
    paint_hour_minor=2800,
    markup_permille=400,
    paint_labour_permille=350,
)
DOOR = PaintWork(paint_minutes=270, refinish_minutes=180, shelf_minor=8840)
HOUR = 7800


@pytest.mark.parametrize(
    ("rule", "minor", "has_colour_inside"),
    [
        (MaterialsRule.REFINISH_HOUR, 12600, True),
        (MaterialsRule.SHELF, 12376, False),
        (MaterialsRule.PAINT_LABOUR, 12285, True),
        (MaterialsRule.PAINT_HOUR, 12600, False),
    ],
)
def test_a_door_costs_what_its_rule_says_and_colour_is_inside_or_a_line_of_its_own(
    rule: MaterialsRule, minor: int, has_colour_inside: bool
) -> None:
    """3.0 h × 42.00 = 126.00; 88.40 + 40 % = 123.76; 35 % of 4.5 h × 78.00 = 351.00 is 122.85; 4.5 h × 28.00."""
    assert materials_price(DOOR, rule, RATES, HOUR).minor == minor
    assert rule.holds_colour is has_colour_inside


def test_a_missing_price_changes_no_rule_and_our_guess_is_called_one() -> None:
    """12.00 of the 88.40 is a guess: the same rule, the same sum, and the shop is told."""
    guessed = PaintWork(270, 180, 8840, guessed_minor=1200)
    price = materials_price(guessed, MaterialsRule.SHELF, RATES, HOUR)
    assert (price.minor, price.is_guess) == (12376, True)
    assert "our guess" in price.why
    assert not materials_price(DOOR, MaterialsRule.SHELF, RATES, HOUR).is_guess
    for rule in (MaterialsRule.REFINISH_HOUR, MaterialsRule.PAINT_LABOUR, MaterialsRule.PAINT_HOUR):
        assert materials_price(guessed, rule, RATES, HOUR) == materials_price(DOOR, rule, RATES, HOUR)


def test_each_payer_has_its_rule_and_others_go_by_everybodys() -> None:
    assert [RATES.rule(payer) for payer in ("insurer", "dealer", "private")] == [
        MaterialsRule.REFINISH_HOUR, MaterialsRule.SHELF, MaterialsRule.SHELF,
    ]  # fmt: skip
    assert MaterialsRates().rule("private") is MaterialsRule.REFINISH_HOUR


def test_hours_that_were_typed_have_two_thirds_of_refinish_hours_and_the_paint_hour_at_shelf_cost() -> None:
    """3.0 h typed: 2.0 h × 42.00 = 84.00; with nothing on the list, 3.0 h × 28.00 = 84.00, a guess."""
    work = typed_hours(180)
    assert materials_price(work, MaterialsRule.REFINISH_HOUR, RATES, HOUR).minor == 8400
    shelf = materials_price(work, MaterialsRule.SHELF, RATES, HOUR)
    assert (shelf.minor, shelf.is_guess) == (8400, True)


def test_without_paint_work_only_the_shelf_asks_for_anything() -> None:
    body = PaintWork(shelf_minor=1000, guessed_minor=400)
    asked = {rule: materials_price(body, rule, RATES, HOUR).minor for rule in MaterialsRule}
    assert asked == {
        MaterialsRule.REFINISH_HOUR: 0,
        MaterialsRule.SHELF: 1400,
        MaterialsRule.PAINT_LABOUR: 0,
        MaterialsRule.PAINT_HOUR: 840,
    }


@pytest.mark.parametrize("rule", [MaterialsRule.REFINISH_HOUR, MaterialsRule.PAINT_LABOUR, MaterialsRule.PAINT_HOUR])
def test_paint_work_is_never_quoted_without_materials(rule: MaterialsRule) -> None:
    with pytest.raises(RuleBroken, match="in Settings"):
        materials_price(DOOR, rule, MaterialsRates(), HOUR)


def test_a_line_carries_the_rule_of_its_payer_and_none_stands_at_nothing() -> None:
    rates = QuoteRates({("paint", "any"): HOUR}, {LineKind.MATERIALS: "sales"}, RATES)
    insurer, private = (price_materials("Materials", DOOR, payer, rates) for payer in ("insurer", "private"))
    assert insurer is not None
    assert private is not None
    assert (insurer.amount_minor, private.amount_minor) == (12600, 12376)
    assert "mixed paint included" in insurer.why
    assert price_materials("Materials", PaintWork(), "private", rates) is None


def test_refinish_hours_are_counted_by_stages_that_the_catalogue_has_and_all_are_paint_work() -> None:
    stages = own_catalogue().stages
    assert {stages[code].skill.value for code in REFINISH_STAGES} == {"paint"}


def test_every_material_of_the_catalogue_has_a_guess_of_its_own_and_none_costs_nothing() -> None:
    """At 78.00 an hour a roll of tape is 4.21 and 400 ml of clear from a 5 litre can 18.10."""
    assert set(PACK_PERMILLE) == set(own_catalogue().materials)
    assert guessed_cost("tape", 1000, 1000, HOUR) == 421
    assert guessed_cost("clear", 400_000, 5_000_000, HOUR) == 1810
    assert guessed_cost("of another shop", 1000, 1000, HOUR) == USUAL_PERMILLE * HOUR // 1000
    assert (guessed_cost("clear", 1, 5_000_000, HOUR), guessed_cost("clear", 0, 5_000_000, HOUR)) == (1, 0)

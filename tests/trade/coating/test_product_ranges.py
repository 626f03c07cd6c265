"""A product's own data sheet against the day: warned of outside its range, silent inside and where nothing is known."""

import pytest

from shopbook.trade.coating.product_ranges import ProductRange, range_of
from shopbook.trade.planning.shapes import Conditions
from tests.makers.plans import draft, make_damage

# invented figures of the kind that sheets give: 15 to 35 °C, at most 75 % humidity
CLEAR = ProductRange("clear", "Clear, slow", 15, 35, 75)


@pytest.mark.parametrize(("degrees", "humidity", "says"), [(15, 75, 0), (35, 40, 0), (14.9, 50, 1), (36, 76, 2)])
def test_only_a_day_outside_the_sheet_is_warned_of(degrees: float, humidity: float, says: int) -> None:
    assert len(CLEAR.warnings(degrees, humidity)) == says


def test_the_sentence_names_product_sheet_and_day_in_both_scales() -> None:
    assert CLEAR.warnings(10, 50) == (
        "Clear, slow: its data sheet asks for 15 °C (59 °F) to 35 °C (95 °F), not 10 °C (50 °F).",
    )
    assert "at least 15 °C" in ProductRange("clear", "Clear", lowest_c=15).warnings(10, 50)[0]
    assert "at most 30 °C" in ProductRange("clear", "Clear", highest_c=30).warnings(31, 50)[0]


def test_a_freezing_limit_of_zero_degrees_is_a_limit_and_nothing_typed_is_none() -> None:
    assert range_of("base_water", "Base", {"lowest_tenths": 0}) == ProductRange("base_water", "Base", lowest_c=0.0)
    assert range_of("clear", "Clear", {"density_mg_ml": 990}) is None


def test_a_plan_warns_on_the_stage_that_takes_the_product_within_the_shops_own_range() -> None:
    day = Conditions(13, 60, ranges=(CLEAR, ProductRange("epoxy", "Epoxy", 10, 30)))
    (warning,) = [each for each in draft([make_damage()], conditions=day).warnings if each.code == "product_range"]
    assert warning.sentence.startswith("Clear, slow:")
    assert warning.stage is not None
    assert draft([make_damage()], conditions=day).stages[warning.stage].code == "base_clear"


def test_a_product_that_the_plan_does_not_take_is_not_spoken_of() -> None:
    day = Conditions(13, 60, ranges=(ProductRange("matt_clear", "Matt clear", 20, 30),))
    assert not [each for each in draft([make_damage()], conditions=day).warnings if each.code == "product_range"]

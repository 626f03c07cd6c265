"""Ratios and percents against printed charts and worked examples."""

from fractions import Fraction

import pytest

from shopbook.trade.measures.ratios import PercentOf, parse_ratio, split_thousandths


@pytest.mark.parametrize(
    ("ratio", "paint_oz", "others_oz", "whole_oz"),
    [
        ("4:1:1", 32, (8, 8), 48),
        ("2:1", 32, (16,), 48),
        ("1:1", 32, (32,), 64),
    ],
)
def test_a_chart_of_ounces_is_met(ratio: str, paint_oz: int, others_oz: tuple[int, ...], whole_oz: int) -> None:
    """A paint maker's mixing ratio chart: 32 oz of paint at 4:1:1, 2:1 and 1:1."""
    parts = split_thousandths(parse_ratio(ratio), whole_oz * 1000)
    assert parts == (paint_oz * 1000, *(ounces * 1000 for ounces in others_oz))


def test_a_gallon_of_clear_at_four_one_one_makes_a_gallon_and_a_half() -> None:
    """Larry Lyles, Mixing Paint, 2011-07-01: a gallon of clear, a quart of hardener, a quart of reducer."""
    quarts = split_thousandths(parse_ratio("4:1:1"), 6000)
    assert quarts == (4000, 1000, 1000)
    assert sum(quarts) / 4000 == 1.5


def test_the_same_clear_costs_312_dollars() -> None:
    """Larry Lyles, Mixing Paint, 2011-07-01: $200 a gallon, $100 a quart, $12 a quart."""
    clear, hardener, reducer = split_thousandths(parse_ratio("4:1:1"), 6000)
    assert clear * 200 // 4 + hardener * 100 + reducer * 12 == 312_000


def test_ten_percent_of_the_paint_is_12_8_ounces_in_a_gallon() -> None:
    """How to thin paint by ten percent, a how-to: 128 fl oz takes 12.8."""
    recipe = parse_ratio("1 + 10 %", ("paint", "thinner"), percent_of=PercentOf.PAINT)
    assert split_thousandths(recipe, 140_800) == (128_000, 12_800)


def test_ten_percent_of_the_final_mix_is_111_ml_in_a_litre() -> None:
    """A sprayer's thinning page: 1.0 L of paint takes 111 ml for thinner to be a tenth of the whole."""
    recipe = parse_ratio("1 + 10 %", ("paint", "thinner"), percent_of=PercentOf.FINAL)
    paint, thinner = recipe.volumes
    assert float(thinner / paint * 1000) == pytest.approx(111, abs=0.5)


def test_a_maker_sheet_of_five_one_and_half_the_paint_is_read() -> None:
    """A maker's technical data sheet of a two-pack topcoat (search of 2026-11): 5 : 1 : 50 %, by volume."""
    recipe = parse_ratio("5:1+50%", percent_of=PercentOf.PAINT)
    assert recipe.volumes == (5, 1, Fraction(5, 2))

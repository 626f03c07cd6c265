"""VOC of mixes, limits in words, and totals by month."""

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.air.voc import (
    DEFERS,
    AirEntry,
    Ingredient,
    limit_says,
    to_thousandths_g,
    totals_by_month,
    voc_of_mix,
)
from shopbook.trade.countries import known_countries
from shopbook.trade.errors import RuleBroken

INGREDIENTS = st.builds(
    Ingredient, st.just("part"), st.floats(1, 5000), st.floats(0, 900), st.floats(0, 0.5), st.floats(0, 0.4)
)


@given(st.lists(INGREDIENTS, min_size=1, max_size=5))
def test_less_water_is_never_under_as_applied(parts: list[Ingredient]) -> None:
    figure = voc_of_mix(parts)
    assert figure.less_water_g_per_l >= figure.as_applied_g_per_l - 1e-9
    assert figure.note == DEFERS


@given(st.lists(INGREDIENTS, min_size=1, max_size=5))
def test_a_mix_lies_between_its_parts(parts: list[Ingredient]) -> None:
    applied = voc_of_mix(parts).as_applied_g_per_l
    assert min(p.voc_g_per_l for p in parts) - 1e-6 <= applied <= max(p.voc_g_per_l for p in parts) + 1e-6


def test_no_sentence_says_that_a_shop_is_over_or_within() -> None:
    figure = voc_of_mix([Ingredient("clear", 300, 700)])
    limits = [limit for country in known_countries() for limit in country.air_limits]
    assert len(limits) > 20
    for limit in limits:
        told = limit_says(figure, limit)
        assert "the limit the product’s manufacturer must meet" in told
        assert DEFERS in told
        assert not any(word in told.lower() for word in ("exceed", "you are", "compliant", "safe", "allowed"))


def test_totals_stand_by_month_and_category() -> None:
    entries = [
        AirEntry(date(2026, 2, 3), "topcoat", 90_000),
        AirEntry(date(2026, 1, 31), "primer", 40_000),
        AirEntry(date(2026, 2, 28), "topcoat", 10_001),
    ]
    assert totals_by_month(entries) == {(2026, 1): {"primer": 40_000}, (2026, 2): {"topcoat": 100_001}}
    assert to_thousandths_g(0.0005) == 1


@pytest.mark.parametrize(
    "part",
    [
        Ingredient("x", -1, 300),
        Ingredient("x", math.nan, 300),
        Ingredient("x", 100, -1),
        Ingredient("x", 100, 5000),
        Ingredient("x", 100, 300, 1.1),
        Ingredient("x", 100, 300, 0.6, 0.6),
        Ingredient("x", 100, 300, -0.1),
        Ingredient("x", 0, 300),
        Ingredient("water", 100, 0, 1.0),
    ],
)
def test_an_impossible_ingredient_is_refused(part: Ingredient) -> None:
    with pytest.raises(RuleBroken):
        voc_of_mix([part])


def test_exempt_solvent_is_taken_out_of_the_volume_as_water_is() -> None:
    """1 L with 400 g of VOC: 400 g/L as applied; less a quarter of exempt solvent 400 ÷ 0.75, less water too ÷ 0.5."""
    exempt = voc_of_mix([Ingredient("base", 1000, 400, exempt_share=0.25)])
    assert exempt.as_applied_g_per_l == pytest.approx(400)
    assert exempt.less_water_g_per_l == pytest.approx(400 / 0.75)
    both = voc_of_mix([Ingredient("base", 1000, 400, water_share=0.25, exempt_share=0.25)])
    assert both.less_water_g_per_l == pytest.approx(800)


@pytest.mark.parametrize("part", [Ingredient("water", 100, 0, 1.0), Ingredient("x", 100, 0, 0.6, 0.4)])
def test_a_mix_of_nothing_but_water_and_exempt_solvent_says_so(part: Ingredient) -> None:
    with pytest.raises(RuleBroken) as refused:
        voc_of_mix([part])
    assert refused.value.field == "volume_ml"


def test_the_bounds_of_an_ingredient_are_still_allowed() -> None:
    """2,000 g/L is the last VOC that is taken, and nothing of a part is no mistake beside another."""
    figure = voc_of_mix([Ingredient("solvent", 100, 2000), Ingredient("left out", 0, 0)])
    assert figure.as_applied_g_per_l == pytest.approx(2000)
    with pytest.raises(RuleBroken):
        voc_of_mix([Ingredient("solvent", 100, 2000.5)])

"""The list of prices as shipped: it bears its own plan in every cell, and less work never costs more."""

from functools import cache
from itertools import pairwise

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.countries import Country, known_countries
from shopbook.trade.planning.draft_materials import PaintRates, draft_materials
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.kerb import KerbAnswer, cover, kerb_damages, kerb_price
from shopbook.trade.planning.shapes import Car, Conditions, DraftPlan, PaintChoice, SizeStep
from shopbook.trade.pricing import MaterialsRates
from shopbook.trade.settings import DEFAULTS, SettingName

CATALOGUE = own_catalogue()
# Our guess of break-even is nine tenths of what an hour is sold for.
HOURS_MINOR = (5_000, 7_800, 12_000)
"""What an hour is sold for: the figure for a refinish hour is one of money, and weighs most where the hour is cheap."""


@cache
def plan_of(panel: str, size: SizeStep, paint: PaintChoice) -> DraftPlan:
    return draft_plan(CATALOGUE, Car(), kerb_damages([KerbAnswer(panel, size, paint)], CATALOGUE), Conditions())


def paint_rates(country: Country, hour_minor: int, payer_kind: str) -> PaintRates:
    """A new book's figures in a country."""
    rules = {"any": country.materials_rule, "insurer": DEFAULTS[SettingName.MATERIALS_RULE_INSURER]}
    materials = MaterialsRates(
        rules=rules,
        refinish_hour_minor=DEFAULTS[SettingName.MATERIALS_REFINISH_HOUR_MINOR],
        paint_hour_minor=DEFAULTS[SettingName.MATERIALS_PER_PAINT_HOUR_MINOR],
        markup_permille=DEFAULTS[SettingName.MATERIALS_MARKUP_PERMILLE],
        paint_labour_permille=DEFAULTS[SettingName.MATERIALS_PAINT_LABOUR_PERMILLE],
    )
    colour = DEFAULTS[SettingName.PARTS_MARKUP_PERMILLE]
    return PaintRates(materials, payer_kind, hour_minor, hour_minor, colour)


@pytest.mark.parametrize("payer_kind", ["private", "insurer"])
@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_every_cell_bears_its_plan_at_our_guess_of_break_even(country: Country, payer_kind: str) -> None:
    """A rear door with its colour blended out, size L, at 78.00: 19.7 h make 1,536.60; the plan's 14.1 h at 70.20 and
    251.00 of materials come to 1,241."""
    short = []
    for panel in CATALOGUE.prices:
        for size in SizeStep:
            for paint in PaintChoice:
                for hour in HOURS_MINOR:
                    plan, price = (
                        plan_of(panel, size, paint),
                        kerb_price(CATALOGUE, KerbAnswer(panel, size, paint), hour),
                    )
                    materials = draft_materials(plan, CATALOGUE, paint_rates(country, hour, payer_kind))
                    told = cover(price.price_minor, materials, plan.minutes, hour * 9 // 10)
                    short += [] if told.is_covered else [(panel, size.value, paint.value, hour, told)]
    assert short == []


def test_a_panel_without_paint_costs_less_than_with_it() -> None:
    for price in CATALOGUE.prices.values():
        for kept, painted, _ in (price.small, price.medium, price.large):
            assert kept < painted, price.code


def test_a_larger_damage_never_costs_less_than_a_smaller_one() -> None:
    for price in CATALOGUE.prices.values():
        for smaller, larger in pairwise((price.small, price.medium, price.large)):
            assert all(less <= more for less, more in zip(smaller, larger, strict=True)), price.code


def test_what_is_shipped_is_called_our_guess() -> None:
    for panel in CATALOGUE.prices:
        assert kerb_price(CATALOGUE, KerbAnswer(panel), 7_800).whose == "our guess"

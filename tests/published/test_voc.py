"""VOC, its limits, and hazardous waste classes against worked examples and rule texts."""

import pytest
from pint import UnitRegistry

from shopbook.trade.air.voc import (
    G_PER_L_OF_LB_PER_GALLON,
    Ingredient,
    from_lb_per_gallon,
    multi_stage_g_per_l,
    to_lb_per_gallon,
    voc_of_mix,
)
from shopbook.trade.air.waste import GeneratorClass, class_of
from shopbook.trade.countries import known_country

GALLON_ML = 3785.411784


def liquid(gallons: float, lb_per_gallon: float, water_share: float = 0.0) -> Ingredient:
    """So many gallons at so many pounds of VOC a gallon."""
    return Ingredient("liquid", gallons * GALLON_ML, from_lb_per_gallon(lb_per_gallon), water_share)


def test_a_pound_a_gallon_is_119_83_grams_a_litre() -> None:
    """Pint 0.25; a coating maker's VOC questions (119.83 and 0.008345), Metal Finishing 2013 (119.8)."""
    units = UnitRegistry()
    assert pytest.approx((1 * units.pound / units.gallon).to("gram / liter").magnitude) == G_PER_L_OF_LB_PER_GALLON
    assert pytest.approx(119.83, abs=0.005) == G_PER_L_OF_LB_PER_GALLON
    assert to_lb_per_gallon(1) == pytest.approx(0.008345, abs=1e-6)


def test_a_gallon_of_enamel_and_a_quart_of_thinner() -> None:
    """Metal Finishing organic guidebook 2013, appendix B: 2.5 lb/gal and 0.25 gal at 6.8 lb/gal make 3.36 lb/gal."""
    figure = voc_of_mix([liquid(1, 2.5), liquid(0.25, 6.8)])
    assert to_lb_per_gallon(figure.as_applied_g_per_l) == pytest.approx(3.36)
    assert figure.voc_g / 453.59237 == pytest.approx(4.2)


def test_two_coatings_and_thinner_have_the_published_voc() -> None:
    """Metal Finishing Guide Book 2012-13, p. 868: 15.9 lb in 5.0 gal is 3.18; with 0.25 gal at 6.4 lb/gal 3.33."""
    assert to_lb_per_gallon(voc_of_mix([liquid(5, 3.18)]).as_applied_g_per_l) == pytest.approx(3.18)
    figure = voc_of_mix([liquid(5, 15.9 / 5), liquid(0.25, 6.4)])
    assert to_lb_per_gallon(figure.as_applied_g_per_l) == pytest.approx(3.33, abs=0.005)


def test_half_a_gallon_of_thinner_comes_just_under_its_limit() -> None:
    """Metal Finishing 2013, appendix B: 15.9 lb in 5.0 gal with 0.5 gal of thinner at 6.4 is 3.47, under 3.5."""
    half = voc_of_mix([liquid(5, 15.9 / 5), liquid(0.5, 6.4)])
    assert to_lb_per_gallon(half.as_applied_g_per_l) == pytest.approx(3.47, abs=0.005)


def test_a_water_borne_paint_with_and_less_water() -> None:
    """Ron Joseph, VOC for the Lube, March 2004: by weight 53.0 % water (8.33 lb/gal) and 20.8 % solids of 8.52 lb/gal:
    2.23 and 4.87 lb/gal."""
    pounds = 8.52
    paint = liquid(1, (1 - 0.208 - 0.530) * pounds, 0.530 * pounds / 8.33)
    figure = voc_of_mix([paint])
    assert to_lb_per_gallon(figure.as_applied_g_per_l) == pytest.approx(2.23, abs=0.005)
    assert to_lb_per_gallon(figure.less_water_g_per_l) == pytest.approx(4.87, abs=0.01)


def test_a_hundred_gallons_with_62_4_of_water() -> None:
    """A coating maker's VOC questions: 33.2 lb of solvent, 100 gal, 62.4 of it water: 0.332 and 0.883 lb/gal."""
    figure = voc_of_mix([liquid(100, 0.332, 0.624)])
    assert to_lb_per_gallon(figure.as_applied_g_per_l) == pytest.approx(0.332)
    assert to_lb_per_gallon(figure.less_water_g_per_l) == pytest.approx(0.883, abs=0.0005)


def test_two_stages_count_the_clear_twice() -> None:
    """San Luis Obispo County rule 423 (1993) and Kern County rule 410.4A (1995): (base + 2 × clear) ÷ 3."""
    assert multi_stage_g_per_l(720, 420) == pytest.approx((720 + 420 + 420) / 3)


def test_equal_stages_weigh_as_one_whatever_their_number() -> None:
    """Any weighted mean, 40 CFR 59.104(a)(2) among them (its weights with midcoats are from memory)."""
    assert multi_stage_g_per_l(500, 500, (500, 500)) == pytest.approx(500)


@pytest.mark.parametrize(
    ("code", "lb_per_gallon"),
    [
        ("us_wash_primer", 6.5),
        ("us_primer", 4.8),
        ("us_sealer", 4.6),
        ("us_topcoat", 5.0),
        ("us_topcoat_three", 5.2),
        ("us_multi_coloured", 5.7),
        ("us_specialty", 7.0),
    ],
)
def test_a_limit_in_pounds_is_that_of_a_state_with_the_same_kinds(code: str, lb_per_gallon: float) -> None:
    """9VAC5-40-6990, table 4-48A; 5.2 also on a maker's sheet that quotes the national rule. Each g/L figure is the
    rule's own rounding, within one part in a hundred of the other."""
    limit = next(each for each in known_country("us").air_limits if each.code == code)
    assert limit.lb_per_gallon == lb_per_gallon
    assert limit.g_per_l == pytest.approx(from_lb_per_gallon(lb_per_gallon), rel=0.013)


@pytest.mark.parametrize(
    ("code", "g_per_l"),
    [
        ("eu_preparatory", 850),
        ("eu_pre_cleaner", 200),
        ("eu_filler", 250),
        ("eu_primer", 540),
        ("eu_wash_primer", 780),
        ("eu_topcoat", 420),
        ("eu_special", 840),
    ],
)
def test_a_european_limit_is_as_printed(code: str, g_per_l: float) -> None:
    """2004/42/CE, annex II, as printed by a government's business guide to the UK regulations of 2005."""
    for country in ("gb", "ie", "other"):
        assert next(each for each in known_country(country).air_limits if each.code == code).g_per_l == g_per_l


@pytest.mark.parametrize(
    ("code", "g_per_l"),
    [
        ("ca_primer_surfacer", 250),
        ("ca_primer_sealer", 340),
        ("ca_wash_primer", 660),
        ("ca_adhesion_promoter", 840),
        ("ca_colour", 420),
        ("ca_uniform_finish", 540),
        ("ca_truck_bed", 310),
        ("ca_temporary", 60),
        ("ca_underbody", 430),
        ("ca_single_stage", 420),
        ("ca_multi_coloured", 680),
        ("ca_clear", 250),
        ("ca_other", 250),
        ("ca_cleaner", 50),
    ],
)
def test_a_canadian_limit_is_as_printed(code: str, g_per_l: float) -> None:
    """SOR/2009-197, the fourteen kinds of its schedule as a customs adviser lists them for importers and a by-law on
    paint shops prints them again (read on 2026-11-30)."""
    assert next(each for each in known_country("ca").air_limits if each.code == code).g_per_l == g_per_l


@pytest.mark.parametrize(
    ("kilograms", "expected"),
    [
        (100.0, GeneratorClass.VERY_SMALL),
        (100.001, GeneratorClass.SMALL),
        (999.999, GeneratorClass.SMALL),
        (1000.0, GeneratorClass.LARGE),
    ],
)
def test_a_hundred_kilograms_is_still_a_very_small_generator(kilograms: float, expected: GeneratorClass) -> None:
    """40 CFR 262.14 (at most 100 kg a month) and 262.16 (more than 100 and under 1,000)."""
    assert class_of(round(kilograms * 1000)) is expected

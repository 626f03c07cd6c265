"""Areas around a damage by their formulae, and what pulling leaves to fill."""

import math
from dataclasses import replace

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.areas import areas_of, size_mm
from shopbook.trade.planning.shapes import DamageKind, DraftDamage

CATALOGUE = own_catalogue()
PANEL = replace(next(iter(CATALOGUE.panels.values())), area_m2=2.0)
DENT = DraftDamage(1, PANEL.code, DamageKind.DENT, length_mm=100, width_mm=50)


def test_a_damage_is_an_ellipse_and_feather_and_primer_are_rectangles_on_both_sides_of_it() -> None:
    """100 × 50 mm is 0.0039 m²; with so many mm on each side the rectangle is (100 + 2 f) × (50 + 2 f)."""
    feather, primer = (CATALOGUE.numbers[name].value for name in ("feather_mm", "primer_mm"))
    areas = areas_of(CATALOGUE, PANEL, DENT)
    assert areas.damage_m2 == pytest.approx(math.pi / 4 * 0.1 * 0.05)
    assert areas.feather_m2 == pytest.approx((100 + 2 * feather) * (50 + 2 * feather) / 1e6)
    assert areas.primer_m2 == pytest.approx((100 + 2 * primer) * (50 + 2 * primer) / 1e6)


def test_no_area_is_larger_than_its_panel() -> None:
    small = replace(PANEL, area_m2=0.01)
    areas = areas_of(CATALOGUE, small, DENT)
    assert (areas.feather_m2, areas.primer_m2) == (0.01, 0.01)


def test_a_length_that_was_measured_bounds_the_width_that_was_not() -> None:
    """A dent of 20 mm is no wider than it is long, whatever its step says."""
    assert size_mm(CATALOGUE, replace(DENT, length_mm=20, width_mm=None)) == (20.0, 20.0)

"""Film, coverage and thinning against printed examples, tables, and Pint's own definitions."""

import pytest
from pint import UnitRegistry

from shopbook.trade.coating.film import (
    FT2_MIL_PER_US_GALLON,
    ML_PER_US_GALLON,
    dry_um,
    mil_from_um,
    ready_to_spray_ml,
    spreading_rate_ft2_per_gallon,
    spreading_rate_m2_per_l,
    thinned_solids,
    um_from_mil,
    wet_um,
)

UNITS = UnitRegistry()


def test_a_gallon_spreads_1604_square_feet_at_one_mil() -> None:
    """Pint 0.25 (US liquid gallon, international foot); the trade's 1604 is printed in every source below."""
    gallon_over_mil = (1 * UNITS.gallon / (1 * UNITS.thou)).to("foot**2").magnitude
    assert pytest.approx(gallon_over_mil, rel=1e-9) == FT2_MIL_PER_US_GALLON
    assert round(FT2_MIL_PER_US_GALLON) == 1604
    assert pytest.approx((1 * UNITS.gallon).to("ml").magnitude, rel=1e-12) == ML_PER_US_GALLON


def test_a_mil_is_the_thou_of_pint() -> None:
    """Pint 0.25, unit `thou`."""
    assert um_from_mil(1) == pytest.approx((1 * UNITS.thou).to("micrometer").magnitude)
    assert mil_from_um(508) == pytest.approx((508 * UNITS.micrometer).to("thou").magnitude)


def test_gallons_and_litres_give_the_same_film() -> None:
    """Pint 0.25: the same paint, in ft² per gallon at mil and in m² per litre at µm."""
    american = spreading_rate_ft2_per_gallon(2.0, 0.35) * UNITS.foot**2 / UNITS.gallon
    metric = spreading_rate_m2_per_l(um_from_mil(2.0), 0.35)
    assert american.to("meter**2 / liter").magnitude == pytest.approx(metric)


def test_a_millilitre_over_a_square_metre_is_a_micron() -> None:
    """Pint 0.25."""
    assert (1 * UNITS.milliliter / UNITS.meter**2).to("micrometer").magnitude == pytest.approx(1.0)
    assert ready_to_spray_ml(1.0, 1.0, 1.0, 1.0, 0.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("solids", "printed"),
    [
        (0.30, (481, 241, 160, 120, 96, 80, 60, 48)),
        (0.50, (802, 401, 267, 201, 160, 134, 100, 80)),
        (1.00, (1604, 802, 535, 401, 321, 267, 201, 160)),
    ],
)
def test_the_spreading_rate_table_is_met_to_the_whole_foot(solids: float, printed: tuple[int, ...]) -> None:
    """Estimating Guide, a technical bulletin's table for 1, 2, 3, 4, 5, 6, 8, 10 mil (it uses 1604, whole feet)."""
    for mil, feet in zip((1, 2, 3, 4, 5, 6, 8, 10), printed, strict=True):
        assert abs(spreading_rate_ft2_per_gallon(mil, solids) - feet) <= 0.6


@pytest.mark.parametrize(
    ("solids", "mil", "transfer", "feet", "within"),
    [
        (0.65, 5.0, 1.0, 208.52, 0.05),  # theoretical spreading rate note, its figure truncated
        (0.52, 1.5, 0.30, 167, 0.5),  # Ron Joseph, Calculating Paint Coverage, October 2003
        (0.25, 1.0, 1.0, 400, 2),  # Calculating finish coverage, a woodworkers' forum, 2001-03-20 (uses 1,600)
        (0.25, 1.0, 0.5, 200, 1),  # the same
        (0.35, 2.0, 1.0, 281, 0.5),  # Estimating Guide, worked example
    ],
)
def test_coverage_agrees_with_worked_examples(
    solids: float, mil: float, transfer: float, feet: float, within: float
) -> None:
    """A spreading rate note, Ron Joseph, a woodworkers' forum and the Estimating Guide, each named beside its row."""
    assert spreading_rate_ft2_per_gallon(mil, solids, transfer) == pytest.approx(feet, abs=within)


@pytest.mark.parametrize(("solids", "um", "m2"), [(0.65, 125.0, 5.2), (1.0, 1.0, 1000.0)])
def test_a_litre_covers_what_the_note_prints(solids: float, um: float, m2: float) -> None:
    """Theoretical spreading rate note, litre form."""
    assert spreading_rate_m2_per_l(um, solids) == pytest.approx(m2, abs=0.05)


def test_wet_film_dries_by_its_solids() -> None:
    """A dry-to-wet calculator's examples (30 %, 6 mil is 20 mil or 508 µm wet; 9.2 mil, 65 % is 5.98 mil), and the
    Estimating Guide (8 mil wet at 35 % is 2.8 mil dry, and back)."""
    assert mil_from_um(wet_um(um_from_mil(6), 0.30)) == pytest.approx(20)
    assert wet_um(um_from_mil(6), 0.30) == pytest.approx(508)
    assert mil_from_um(dry_um(um_from_mil(9.2), 0.65)) == pytest.approx(5.98)
    assert dry_um(233.6, 0.65) == pytest.approx(151.8, abs=0.05)
    assert dry_um(8, 0.35) == pytest.approx(2.8)
    assert wet_um(2.8, 0.35) == pytest.approx(8)


def test_thinner_asks_for_more_wet_film() -> None:
    """A paint page quoting SSPC-PA 2 (200 µm at 65 % with 5 % thinner leaves 124 µm), and the Estimating Guide
    (2.8 mil at 35 % thinned by 10 %: 8.8 mil wet, 32 % solids)."""
    assert dry_um(200, 0.65, 0.05) == pytest.approx(124, abs=0.5)
    assert wet_um(2.8, 0.35, 0.10) == pytest.approx(8.8)
    assert thinned_solids(0.35, 0.10) == pytest.approx(0.32, abs=0.005)


def test_a_quart_in_a_gallon_takes_sixty_percent_to_forty_eight() -> None:
    """Volume solids of a coating, an industrial painter's note: not 35 % and not 45 %."""
    assert thinned_solids(0.60, 0.25) == pytest.approx(0.48)


def test_ten_mil_wet_covers_160_square_feet() -> None:
    """Wet and dry film formulae, a gauge maker's page: 1604.17 ÷ 10 = 160.417."""
    assert spreading_rate_ft2_per_gallon(10, 1.0) == pytest.approx(160.417, abs=0.001)

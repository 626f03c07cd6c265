"""Conversions against Pint 0.25 (its registry follows NIST and CODATA) and the definition of the US gallon."""

from fractions import Fraction

import pint
import pytest

from shopbook.trade.measures.quantities import from_thousandths, to_thousandths
from shopbook.trade.measures.units import Unit

_PINT = pint.UnitRegistry[float]()
_NAMES = {
    Unit.L: "liter",
    Unit.FL_OZ: "fluid_ounce",
    Unit.PINT: "pint",
    Unit.QUART: "quart",
    Unit.GALLON: "gallon",
    Unit.KG: "kilogram",
    Unit.OZ: "ounce",
    Unit.LB: "pound",
    Unit.CM2: "centimeter ** 2",
    Unit.FT2: "foot ** 2",
    Unit.IN2: "inch ** 2",
    Unit.CM: "centimeter",
    Unit.M: "meter",
    Unit.INCH: "inch",
    Unit.FT: "foot",
    Unit.MILE: "mile",
    Unit.MIL: "thou",
    Unit.F: "degree_Fahrenheit",
    Unit.PSI: "psi",
}
_BASES = {
    Unit.ML: "milliliter",
    Unit.G: "gram",
    Unit.M2: "meter ** 2",
    Unit.MM: "millimeter",
    Unit.KM: "kilometer",
    Unit.UM: "micrometer",
    Unit.C: "degree_Celsius",
    Unit.BAR: "bar",
}


@pytest.mark.parametrize("unit", list(_NAMES))
@pytest.mark.parametrize("amount", [1, 128, 12_345])
def test_every_conversion_agrees_with_pint(unit: Unit, amount: int) -> None:
    """Pint 0.25, whose registry follows NIST and CODATA."""
    theirs = _PINT.Quantity(amount, _NAMES[unit]).to(_BASES[unit.base]).magnitude * 1000
    assert to_thousandths(amount, unit) == pytest.approx(theirs, abs=0.501, rel=1e-12)


def test_a_us_gallon_is_231_cubic_inches_and_128_fluid_ounces() -> None:
    """NIST Handbook 44, appendix C: 1 gallon = 231 cubic inches; 1 inch = 2.54 cm exactly."""
    gallon_ml = 231 * Fraction("2.54") ** 3
    assert Fraction(to_thousandths(1000, Unit.GALLON), 1_000_000) == gallon_ml
    assert to_thousandths(1000, Unit.GALLON) == 3_785_411_784
    assert to_thousandths(128_000, Unit.FL_OZ) == 3_785_411_784


def test_water_freezes_and_boils_where_both_thermometers_say() -> None:
    """Definition of the Fahrenheit scale: 32 and 212 degrees; -40 on both."""
    assert to_thousandths(32, Unit.F) == 0
    assert to_thousandths(212, Unit.F) == 100_000
    assert from_thousandths(-40_000, Unit.F) == -40

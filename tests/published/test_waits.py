"""The two-fold law beside Arrhenius, and published cure rules."""

import math

import pytest
from scipy.constants import R, zero_Celsius
from scipy.optimize import brentq

from shopbook.trade.floor.waits import HIGHEST_C, LOWEST_C, scaled_minutes


def arrhenius_minutes(minutes_at_20: float, celsius: float, joules_per_mol: float) -> float:
    """Minutes to the same degree of cure by Arrhenius, with SciPy's gas constant and zero."""
    at, reference = celsius + zero_Celsius, 20 + zero_Celsius
    return minutes_at_20 * math.exp(joules_per_mol / R * (1 / at - 1 / reference))


def test_the_law_is_arrhenius_at_an_energy_that_coatings_have() -> None:
    """SciPy's root: doubling over 10 °C about 20 °C is some 51 kJ/mol; a cure time page citing ASTM D1640 gives 40 to
    100 kJ/mol for coatings and takes 50 where nothing is known."""
    law = scaled_minutes(10_000, LOWEST_C).minutes
    energy = brentq(lambda joules: arrhenius_minutes(10_000, LOWEST_C, joules) - law, 1e4, 2e5)
    assert 40_000 < energy < 100_000
    assert energy == pytest.approx(50_000, rel=0.1)


@pytest.mark.parametrize("celsius", [12, 14, 16, 18, 20, 22, 24, 26, 28, 30])
def test_the_law_stays_within_five_percent_of_arrhenius(celsius: int) -> None:
    """SciPy's constants, 50 kJ/mol, over the range in which the law is used."""
    assert LOWEST_C <= celsius <= HIGHEST_C
    assert scaled_minutes(10_000, celsius).minutes == pytest.approx(
        arrhenius_minutes(10_000, celsius, 50_000), rel=0.05
    )


def test_eighteen_fahrenheit_colder_doubles_a_gel_time() -> None:
    """An epoxy maker's support article on cool temperatures: gel times are for 77 °F, each 18 °F less doubles them."""
    at_77, at_59 = (scaled_minutes(1000, (f - 32) / 1.8).minutes for f in (77, 59))
    assert at_59 / at_77 == pytest.approx(2, abs=0.01)


VARNISH = {5: 12 * 60, 10: 8 * 60, 23: 4 * 60, 35: 2 * 60}
"""Minutes to touch-dry by °C in a maker's sheet of a two-pack polyurethane varnish (May 2014), 40 µm dry."""


@pytest.mark.parametrize("celsius", [10, 35])
def test_a_wait_from_one_line_of_a_sheet_is_never_shorter_than_its_other_lines_say(celsius: int) -> None:
    """The maker's sheet of `VARNISH`, from its 23 °C; at 35 °C the law is held at 30 °C, at 10 °C it counts as 12 °C
    and says to heat.
    """
    at_20 = round(VARNISH[23] * 2 ** ((23 - 20) / 10))
    assert VARNISH[celsius] <= scaled_minutes(at_20, celsius).minutes <= 1.25 * VARNISH[celsius]


def test_what_the_same_sheet_lets_harden_at_five_degrees_is_told_to_heat() -> None:
    """Twelve hours at 5 °C by the maker's sheet of `VARNISH`, longer than is counted: so the minutes are not said
    without the warning.
    """
    assert scaled_minutes(round(VARNISH[23] * 2**0.3), 5).needs_heat

"""Sentences of the trade in the units of the shop."""

import pytest

from shopbook.trade.measures.said_units import in_units
from shopbook.trade.measures.units import METRIC, US, Unit, UnitSystem

SENTENCES = [
    ("middle: 762 µm, filler underneath.", "middle: 30 mil, filler underneath."),
    ("about 3 mm left to fill of 5.08 mm", "about 0.12 in left to fill of 0.2 in"),
    ("up to 25 mm", "up to 0.98 in"),
    ("Rule of thumb: 400 to 512 ml.", "Rule of thumb: 13.53 to 17.31 fl oz."),
    ("0.92 m² at 50 µm dry, 60 ml for cup and gun.", "9.9 ft² at 2 mil dry, 2.03 fl oz for cup and gun."),
    ("120 cm² × 2 mm, 43 g", "18.6 in² × 0.08 in, 1.52 oz"),
    ("Enter a reading between 0 and 25,000 µm.", "Enter a reading between 0 and 984.3 mil."),
]


@pytest.mark.parametrize(("written", "said"), SENTENCES)
def test_figures_are_said_in_the_units_of_the_shop(written: str, said: str) -> None:
    assert in_units(written, US) == said
    assert in_units(written, METRIC) == written


def test_only_the_kinds_that_are_read_in_another_unit_are_said_anew() -> None:
    system = UnitSystem(film=Unit.MIL)
    assert in_units("0.92 m² at 50.8 µm dry, 60 ml", system) == "0.92 m² at 2 mil dry, 60 ml"


@pytest.mark.parametrize(
    "sentence",
    [
        "grain 201 µm, over the P180 scratches",
        "Gun: tip 1.3 mm",
        "at 1.8 g/ml, 420 g/L less water",
        "15 cm (6 in) at 15 °C (59 °F)",
        "Stage 12, job 7: 3 damages",
    ],
)
def test_names_of_sizes_rates_and_what_is_said_in_both_stay(sentence: str) -> None:
    assert in_units(sentence, US) == sentence

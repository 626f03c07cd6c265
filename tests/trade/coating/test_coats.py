"""What a gauge says of the paint on a panel."""

import math

import pytest

from shopbook.trade.coating.coats import Verdict, reading_says
from shopbook.trade.errors import RuleBroken


@pytest.mark.parametrize(
    ("um", "verdict"),
    [
        (0, Verdict.THIN),
        (120, Verdict.FACTORY),  # two notes for readers of gauges: factory 80 to 150, and 120 to 180
        (150, Verdict.FACTORY),
        (240, Verdict.REFINISHED),
        (400, Verdict.TWICE),
        (1000, Verdict.FILLER),  # the second note: 1000 µm is body work
    ],
)
def test_a_reading_is_judged_by_its_thickness(um: float, verdict: Verdict) -> None:
    """Common practice, 80 % sure; notes found in a search of 2026-11."""
    assert reading_says(um).verdict is verdict


def test_a_reading_in_mil_is_the_same_spot() -> None:
    assert reading_says(6, "mil").um == pytest.approx(152.4)
    assert reading_says(40, "mil", "door, low").sentence == "door, low: 1016 µm, filler underneath."


@pytest.mark.parametrize(("value", "unit"), [(-1, "um"), (math.nan, "um"), (30_000, "um"), (5, "thou"), (2000, "mil")])
def test_an_impossible_reading_is_refused(value: float, unit: str) -> None:
    with pytest.raises(RuleBroken):
        reading_says(value, unit)

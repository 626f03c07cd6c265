"""The sign of the coats on a panel, and what a gauge says."""

import math

import pytest

from shopbook.trade.coats import CoatState, Verdict, reading_says, readings_say, show_coats
from shopbook.trade.errors import RuleBroken


def test_the_sign_tells_what_is_on_wet_and_to_come() -> None:
    sign = show_coats([
        ("filler", CoatState.LAID), ("surfacer", CoatState.WAITING), ("base", CoatState.TO_COME),
        ("clear", CoatState.TO_COME),
    ])  # fmt: skip
    assert (sign.on, sign.wet, sign.due) == (("filler",), ("surfacer",), ("base", "clear"))
    assert sign.words == "on: filler; wet: surfacer; to come: base, clear."


def test_a_bare_panel_says_so() -> None:
    assert show_coats([]).words == "Bare: nothing on, nothing to come."


def test_a_coat_over_one_that_is_not_there_is_refused() -> None:
    with pytest.raises(RuleBroken, match="Clear cannot be on the panel before base"):
        show_coats([("base", CoatState.TO_COME), ("clear", CoatState.LAID)])


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


def test_the_thickest_spot_stands_on_top() -> None:
    told = readings_say({"top": 120, "low": 900, "edge": 350})
    assert [reading.spot for reading in told] == ["low", "edge", "top"]


@pytest.mark.parametrize(("value", "unit"), [(-1, "um"), (math.nan, "um"), (30_000, "um"), (5, "thou"), (2000, "mil")])
def test_an_impossible_reading_is_refused(value: float, unit: str) -> None:
    with pytest.raises(RuleBroken):
        reading_says(value, unit)

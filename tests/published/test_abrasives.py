"""Grain sizes of the P series against two printed tables of the standard."""

import pytest

from shopbook.trade.coating.abrasives import LONGEST_STEP, particle_um, step_warnings

MACRO = {
    12: 1815, 16: 1324, 20: 1000, 24: 764, 30: 642, 36: 538, 40: 425, 50: 336, 60: 269, 80: 201, 100: 162, 120: 125,
}  # fmt: skip
"""A dictionary of units, entry sandpaper: FEPA P series, coarse grades."""

MICRO = {150: 100, 180: 82, 220: 68, 240: 58.5, 320: 46.2, 400: 35.0, 600: 25.8, 1000: 18.3, 1500: 12.6, 2500: 8.4}
"""A metallography reference's grit converter, citing ISO 6344 and ANSI B74.12 and B74.10."""


@pytest.mark.parametrize(("grade", "um"), [*MACRO.items(), *MICRO.items()])
def test_a_grade_has_the_grain_that_is_printed(grade: int, um: float) -> None:
    """ISO 6344-2 covers P12 to P220 and ISO 6344-3 the finer grades."""
    assert particle_um(grade) == um


def test_the_ends_agree_with_a_third_table() -> None:
    """A general reference site: P220 68 µm, P2500 8.4 µm; it prints 58.4 where others have 58.5 for P240."""
    assert (particle_um(220), particle_um(2500)) == (68, 8.4)
    assert particle_um(240) == pytest.approx(58.4, abs=0.11)


def test_eighty_to_one_eighty_passes_and_eighty_to_two_forty_does_not() -> None:
    """Common practice, by the standard's sizes: ratios 2.45 and 3.4 beside a longest step of 2.5."""
    assert particle_um(80) / particle_um(180) == pytest.approx(2.45, abs=0.005)
    assert particle_um(80) / particle_um(240) == pytest.approx(3.4, abs=0.05)
    assert LONGEST_STEP == 2.5
    assert step_warnings((80, 180)) == ()
    assert len(step_warnings((80, 240))) == 1

"""Rounding of clocks: 29 CFR 785.48(b) and the Labor Department's reading of it for a quarter of an hour."""

import pytest

from shopbook.trade.hours import ClockStep, round_to_step


def test_seven_minutes_go_down_and_eight_go_up_to_the_quarter() -> None:
    # 1 to 7 minutes may be rounded down, 8 to 14 must be counted as a quarter of an hour: Wage and Hour Division's
    # reading of 785.48(b), as given by jjkeller.com, 2 July 2019, and by primerus.com on hours worked.
    assert {round_to_step(minutes, ClockStep.QUARTER_OF_AN_HOUR) for minutes in range(1, 8)} == {0}
    assert {round_to_step(minutes, ClockStep.QUARTER_OF_AN_HOUR) for minutes in range(8, 15)} == {15}


@pytest.mark.parametrize(
    ("step", "minutes"),
    [(ClockStep.FIVE_MINUTES, 5), (ClockStep.TENTH_OF_AN_HOUR, 6), (ClockStep.QUARTER_OF_AN_HOUR, 15)],
)
def test_the_steps_are_those_the_rule_names_and_average_out_over_an_hour(step: ClockStep, minutes: int) -> None:
    # 785.48(b): nearest five minutes, one-tenth or quarter of an hour, accepted where it averages out over time. What
    # is left over is the half step of a tenth, which goes to the person.
    assert int(step) == minutes
    drift = sum(round_to_step(minute, step) - minute for minute in range(60))
    assert drift == (30 if step is ClockStep.TENTH_OF_AN_HOUR else 0)

"""Dew points against PsychroLib over the whole range, and against charts, tables and worked examples."""

import psychrolib
import pytest

from shopbook.trade.coating.weather import (
    MARGIN_C,
    dew_point_c,
    judge_weather,
    margin_c,
    vapour_deficit_pa,
    water_flash,
)

psychrolib.SetUnitSystem(psychrolib.SI)

SEA_LEVEL_PA = 101_325.0


def celsius(fahrenheit: float) -> float:
    """°F as °C."""
    return (fahrenheit - 32) / 1.8


def fahrenheit(degrees: float) -> float:
    """°C as °F."""
    return degrees * 1.8 + 32


def test_every_dew_point_is_within_a_tenth_of_psychrolib() -> None:
    """PsychroLib 2.5 (ASHRAE), −20 to 50 °C by one degree, 1 to 100 % by one."""
    worst = max(
        abs(dew_point_c(air, humidity) - psychrolib.GetTDewPointFromRelHum(float(air), humidity / 100))
        for air in range(-20, 51)
        for humidity in range(1, 101)
    )
    assert worst < 0.1


@pytest.mark.parametrize(
    ("humidity", "rows"),
    [
        (90, {40: 37, 50: 47, 60: 57, 70: 67, 80: 77, 90: 87}),
        (80, {40: 34, 50: 44, 60: 54, 70: 63, 80: 73, 90: 82}),
        (70, {50: 40, 60: 50, 70: 60, 80: 68, 90: 78}),
        (65, {70: 57}),
        (50, {60: 40, 70: 50, 80: 59}),
    ],
)
def test_a_painters_chart_is_met_within_two_degrees(humidity: int, rows: dict[int, int]) -> None:
    """Dew Point Calculation Sample Chart, °F; such charts are coarse and stray by up to 2 °F."""
    for air, printed in rows.items():
        assert fahrenheit(dew_point_c(celsius(air), humidity)) == pytest.approx(printed, abs=2)


@pytest.mark.parametrize(
    ("air_c", "humidity", "printed_c", "within"),
    [
        (30, 55, 20, 0.5),  # a building material maker's glossary, dew point
        (30, 50, 18.4, 0.1),  # a dew point page with Magnus 17.27 / 237.7
        (celsius(73.11), 90, celsius(70), 0.1),  # a weather question with Magnus 17.625 / 243.04, run backwards
    ],
)
def test_single_printed_dew_points_are_met(air_c: float, humidity: float, printed_c: float, within: float) -> None:
    """A building material maker's glossary, and two pages that reckon by Magnus, each named beside its row."""
    assert dew_point_c(air_c, humidity) == pytest.approx(printed_c, abs=within)


@pytest.mark.parametrize(
    ("dry_c", "wet_c", "printed_c"),
    [
        (21.0, 17.0, 15.0),  # a coating maker's note on ambient conditions, example 1
        (celsius(47), celsius(44), celsius(41)),  # R. DeC. Ward, Practical Exercises in Elementary Meteorology, table I
    ],
)
def test_a_whirled_thermometer_leads_to_the_printed_dew_point(dry_c: float, wet_c: float, printed_c: float) -> None:
    """A coating maker's note and Ward's Practical Exercises in Elementary Meteorology, named beside each row;
    PsychroLib 2.5 turns the wet bulb into humidity, the dew point is ours.
    """
    humidity = psychrolib.GetRelHumFromTWetBulb(dry_c, wet_c, SEA_LEVEL_PA) * 100
    assert dew_point_c(dry_c, humidity) == pytest.approx(printed_c, abs=0.7)


def test_metal_four_degrees_above_may_go_on() -> None:
    """A coating maker's note on ambient conditions, example 1: air 21 °C, wet bulb 17, metal 19, margin 4 °C: no
    warning of the dew point.
    """
    humidity = psychrolib.GetRelHumFromTWetBulb(21.0, 17.0, SEA_LEVEL_PA) * 100
    assert margin_c(19, 21, humidity) == pytest.approx(4, abs=0.7)
    assert judge_weather(19, 21, humidity).warnings == ()


def test_the_chart_example_wants_62_degrees_of_metal() -> None:
    """Dew Point Calculation Sample Chart, its example of 70 °F and 65 %: dew point 57, lowest metal 62 °F;
    UFC 3-190-06, 9.6.6 has the same 5 °F.
    """
    assert pytest.approx(5 / 1.8, abs=0.25) == MARGIN_C
    assert judge_weather(celsius(60.5), celsius(70), 65).warnings
    assert not judge_weather(celsius(63.5), celsius(70), 65).warnings


@pytest.mark.parametrize("air", [-10, 0, 10, 20, 30, 45])
@pytest.mark.parametrize("humidity", [10, 50, 90])
def test_the_drying_power_of_air_is_that_of_psychrolib(air: int, humidity: int) -> None:
    """PsychroLib 2.5: saturation less partial pressure of water vapour, Pa."""
    full = psychrolib.GetSatVapPres(float(air))
    part = psychrolib.GetVapPresFromRelHum(float(air), humidity / 100)
    assert vapour_deficit_pa(air, humidity) == pytest.approx(full - part, rel=1e-6)


def test_damp_counts_more_than_cold_for_water_borne_paint() -> None:
    """Common practice, 80 % sure: a wet day at 20 °C holds a water-borne coat longer than a cool dry one."""
    assert water_flash(15, 20, 85).minutes > water_flash(15, 14, 50).minutes

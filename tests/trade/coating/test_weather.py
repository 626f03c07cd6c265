"""Air, metal and the dew point between them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.coating.weather import dew_point_c, judge_weather, margin_c, water_flash
from shopbook.trade.errors import RuleBroken

AIR = st.floats(-40, 60)
HUMIDITY = st.floats(0.5, 100)


@given(AIR, HUMIDITY)
def test_the_dew_point_is_never_above_the_air(air: float, humidity: float) -> None:
    assert dew_point_c(air, humidity) <= air + 1e-6


@given(AIR, HUMIDITY, HUMIDITY)
def test_damper_air_has_a_higher_dew_point(air: float, one: float, other: float) -> None:
    dry, damp = sorted((one, other))
    assert dew_point_c(air, dry) <= dew_point_c(air, damp) + 1e-6


def test_full_humidity_is_the_air_itself() -> None:
    assert dew_point_c(20, 100) == pytest.approx(20)


def test_metal_too_near_the_dew_point_is_warned_of_in_words() -> None:
    weather = judge_weather(metal_c=14, air_c=20, humidity_percent=60)
    assert weather.margin_c == pytest.approx(margin_c(14, 20, 60))
    assert "warm it to 3.0 °C (5.4 °F) above" in weather.warnings[0]
    assert "it is wet" in judge_weather(5, 20, 60, product_range_c=(0, 40)).warnings[0]


def test_humidity_and_the_range_of_the_product_are_warned_of() -> None:
    told = judge_weather(8, 8, 50).warnings
    assert len(told) == 2
    assert all("outside the product's range of 10 °C (50 °F) to 35 °C (95 °F)" in sentence for sentence in told)
    assert any("Humidity of 90 %" in sentence for sentence in judge_weather(30, 22, 90).warnings)


@pytest.mark.parametrize(
    ("air", "humidity"), [(20, 0), (20, -1), (20, 100.1), (20, math.nan), (61, 50), (-41, 50), (math.nan, 50)]
)
def test_impossible_air_is_refused(air: float, humidity: float) -> None:
    with pytest.raises(RuleBroken):
        dew_point_c(air, humidity)


def test_a_metal_without_a_temperature_is_refused() -> None:
    with pytest.raises(RuleBroken):
        margin_c(math.nan, 20, 50)


@given(st.floats(-20, 45), st.floats(-20, 45), HUMIDITY)
def test_a_colder_day_never_flashes_water_sooner(one: float, other: float, humidity: float) -> None:
    cold, warm = sorted((one, other))
    assert water_flash(15, cold, humidity).minutes >= water_flash(15, warm, humidity).minutes


@given(st.floats(-20, 45), HUMIDITY, HUMIDITY)
def test_damper_air_never_flashes_water_sooner(air: float, one: float, other: float) -> None:
    dry, damp = sorted((one, other))
    assert water_flash(15, air, damp).minutes >= water_flash(15, air, dry).minutes


def test_only_air_that_hardly_takes_water_up_needs_heat() -> None:
    cold, damp = water_flash(15, 12, 60), water_flash(15, 20, 97)
    assert (cold.needs_heat, damp.needs_heat) == (False, True)
    assert cold.reason.startswith(f"{cold.minutes} min at 12 °C")
    assert damp.minutes == 8 * 15


def test_the_reference_air_changes_nothing_and_full_air_dries_nothing() -> None:
    assert water_flash(15, 20, 50).minutes == 15
    assert water_flash(15, 20, 100).needs_heat
    with pytest.raises(RuleBroken):
        water_flash(-1, 20, 50)


def test_metal_three_degrees_above_the_dew_point_is_warm_enough_to_the_last_hair() -> None:
    """3 °C are wanted: 3.01 °C above is not warned of, 2.99 °C is; and just as much as is wanted is enough."""
    dew = dew_point_c(20, 60)
    assert judge_weather(dew + 3.01, 20, 60).warnings == ()
    assert "warm it" in judge_weather(dew + 2.99, 20, 60).warnings[0]
    above = margin_c(18, 20, 60)
    assert judge_weather(18, 20, 60, margin_wanted_c=above).warnings == ()
    assert len(judge_weather(18, 20, 60, margin_wanted_c=math.nextafter(above, 90)).warnings) == 1


def test_the_bounds_of_humidity_and_of_the_product_are_within_them() -> None:
    assert judge_weather(35, 35, 85, most_humidity_percent=85, margin_wanted_c=0).warnings == ()
    assert judge_weather(10, 10, 50).warnings == ()
    assert len(judge_weather(35, 35, 86, margin_wanted_c=0).warnings) == 1
    assert len(judge_weather(9.9, 10, 50).warnings) == 1

"""Whether it is fit to spray: dew point, how far the metal is above it, and humidity."""

import math
from dataclasses import dataclass

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.waits import Scaled
from shopbook.trade.measures.units import say_degrees

MARGIN_C = 3.0
"""Metal at least this far above the dew point: practice, 5 °F in United States handbooks (UFC 3-190-06, 9.6.6)."""

MOST_HUMIDITY_PERCENT = 85.0
"""Makers' ceilings are mostly 75 to 85 %; the product's own comes first."""

_LONGEST_FLASH = 8.0

COLDEST_C = -40.0
HOTTEST_C = 60.0

_OVER_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)
_OVER_ICE = (-5.6745359e3, 6.3925247, -9.6778430e-3, 6.2215701e-7, 2.0747825e-9, -9.4840240e-13, 4.1635019)
"""Coefficients of Hyland and Wexler (1983) as printed in the ASHRAE Handbook, Fundamentals, chapter 1, (5) and (6)."""


@dataclass(frozen=True, slots=True)
class Weather:
    """Air and metal judged for spraying: dew point and margin in °C, what speaks against it, and the sum in words."""

    dew_point_c: float
    margin_c: float
    warnings: tuple[str, ...]
    reason: str


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """The temperature in °C at which this air begins to wet a surface.

    Saturation pressure by Hyland and Wexler, turned round by halving the interval, since the common Magnus form
    strays over a tenth of a degree in dry cold air. RuleBroken outside −40 to 60 °C, or for a humidity that is not
    over 0 and up to 100 %.
    """
    _check_air(air_c, humidity_percent)
    wanted = _log_saturation_pa(air_c) + math.log(humidity_percent / 100)
    low, high = -150.0, air_c
    while high - low > 1e-9:
        middle = (low + high) / 2
        if _log_saturation_pa(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def margin_c(metal_c: float, air_c: float, humidity_percent: float) -> float:
    """How many °C the metal stands above the dew point; below zero it is wet."""
    if not math.isfinite(metal_c):
        raise RuleBroken("Enter the metal temperature as a number, for example 20.", "metal_c")
    return metal_c - dew_point_c(air_c, humidity_percent)


def judge_weather(
    metal_c: float,
    air_c: float,
    humidity_percent: float,
    *,
    margin_wanted_c: float = MARGIN_C,
    most_humidity_percent: float = MOST_HUMIDITY_PERCENT,
    product_range_c: tuple[float, float] = (10.0, 35.0),
) -> Weather:
    """What speaks against spraying now; no warning is not a promise, for the product's data sheet decides."""
    dew = dew_point_c(air_c, humidity_percent)
    above = margin_c(metal_c, air_c, humidity_percent)
    warnings = []
    if above < margin_wanted_c:
        warnings.append(
            f"The metal is only {_apart(above)} above the dew point of {say_degrees(round(dew, 1))}: "
            f"warm it to {_apart(margin_wanted_c)} above, or wait."
            if above > 0
            else f"The metal is at or below the dew point of {say_degrees(round(dew, 1))}: "
            "it is wet, even if you cannot see it."
        )
    if humidity_percent > most_humidity_percent:
        warnings.append(f"Humidity of {humidity_percent:g} % is over your limit of {most_humidity_percent:g} %.")
    low, high = product_range_c
    for name, temperature in (("air", air_c), ("metal", metal_c)):
        if not low <= temperature <= high:
            here, least, most = say_degrees(temperature), say_degrees(low), say_degrees(high)
            warnings.append(f"The {name} is {here}, outside the product's range of {least} to {most}.")
    reason = (
        f"Air at {say_degrees(air_c)} and {humidity_percent:g} % has a dew point of {say_degrees(round(dew, 1))}; "
        f"metal at {say_degrees(metal_c)} is {_apart(above)} above it."
    )
    return Weather(dew, above, tuple(warnings), reason)


def _apart(degrees_c: float) -> str:
    """A difference of temperatures in both scales."""
    return f"{degrees_c:.1f} °C ({degrees_c * 9 / 5:.1f} °F)"


def vapour_deficit_pa(air_c: float, humidity_percent: float) -> float:
    """How much more water vapour the air could hold, in Pa: what draws water out of a wet film (Dalton)."""
    _check_air(air_c, humidity_percent)
    return math.exp(_log_saturation_pa(air_c)) * (1 - humidity_percent / 100)


def water_flash(minutes_at_20: int, air_c: float, humidity_percent: float) -> Scaled:
    """The flash of a waterborne coat in this air, beside 20 °C and 50 %: in proportion to Dalton's deficit.

    Damp air counts more than cold air. Past eight times as long it is taken not to dry without heat and moving air.
    The film is judged by eye in the end: it goes on when it is matt all over.
    """
    if minutes_at_20 < 0:
        raise RuleBroken("Enter zero or more minutes.", "minutes")
    deficit = vapour_deficit_pa(air_c, humidity_percent)
    factor = min(vapour_deficit_pa(20.0, 50.0) / deficit, _LONGEST_FLASH) if deficit > 0 else _LONGEST_FLASH
    # Up: a flash cut short shuts water in. The hair is what floats add to a whole minute.
    minutes = math.ceil(minutes_at_20 * factor - 1e-9)
    if factor >= _LONGEST_FLASH:
        return Scaled(
            minutes, True, f"Air at {humidity_percent:g} % hardly takes up water. Warm it and keep it moving."
        )
    return Scaled(
        minutes, False, f"{minutes} min at {say_degrees(air_c)} and {humidity_percent:g} %, and until it is dull."
    )


def _check_air(air_c: float, humidity_percent: float) -> None:
    if not math.isfinite(air_c) or not COLDEST_C <= air_c <= HOTTEST_C:
        raise RuleBroken(f"Enter an air temperature between {COLDEST_C:g} and {HOTTEST_C:g} °C.", "air_c")
    if not math.isfinite(humidity_percent) or not 0 < humidity_percent <= 100:
        raise RuleBroken("Enter a humidity above 0 and up to 100 %.", "humidity_percent")


def _log_saturation_pa(celsius: float) -> float:
    """Natural logarithm of the pressure in Pa at which water vapour is saturated, over ice below the triple point."""
    kelvin = celsius + 273.15
    *powers, logarithm = _OVER_ICE if celsius <= 0.01 else _OVER_WATER
    return sum(c * kelvin ** (n - 1) for n, c in enumerate(powers)) + logarithm * math.log(kelvin)

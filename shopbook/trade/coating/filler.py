"""Body filler: grams from what is left after pulling, hardener by temperature, times to work and to sand."""

import math
from dataclasses import dataclass
from itertools import pairwise

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.waits import LOWEST_C, scaled_minutes

SHAPE_FACTOR = 0.5
"""A hollow's mean depth beside its deepest, between a cone's third and a flat pan's whole; common practice, 70 %."""

SANDED_SHARE = 0.4
"""Filler laid proud and sanded away again, beside what stays; common practice, 65 % sure."""

FEATHER_MM = 0.2
"""What is left over the feather around the hollow, as a mean film in mm; common practice, 65 % sure."""

DENSITY_LIGHT = 1.1
DENSITY_STANDARD = 1.8
"""g/ml: common practice, 80 % sure (light 1.0 to 1.2, standard 1.7 to 1.9)."""

WARN_DEPTH_MM = 3.0
MOST_DEPTH_MM = 6.0
"""Common practice, 85 % sure; 6 mm is the trade press's outer limit."""

WORKING_MINUTES_AT_20 = 5
SANDING_MINUTES_AT_20 = 20
"""Common practice, 85 % sure: 4 to 6 minutes to work, 20 until it sands. A paint chemist's note on polyester fillers
(search of 2026-11) has 1 % of hardener to sand after 20 minutes and 1 to 3 % for slower resins."""

COOL_C = 16.0
"""Filler wants warmth more than paint does: two trade writers (search of 2026-11) ask for at least 15.5 and 18 °C,
since cold metal lets it set from outside in; so it is warned of here before the law's own lower end."""

_HARDENER_BY_C = ((10.0, 3.0), (12.0, 2.5), (20.0, 2.0), (30.0, 1.5))
"""Percent by weight by air temperature; common practice, 90 % sure."""


@dataclass(frozen=True, slots=True)
class FillerNeed:
    """What a fill takes: grams of filler and hardener, minutes to work and until it sands, and what to mind."""

    filler_g: float
    hardener_g: float
    hardener_percent: float
    working_minutes: int
    sanding_minutes: int
    needs_heat: bool
    warnings: tuple[str, ...]
    reason: str


def filler_grams(
    area_cm2: float,
    depth_mm: float,
    *,
    feather_cm2: float = 0.0,
    shape_factor: float = SHAPE_FACTOR,
    sanded_share: float = SANDED_SHARE,
    density_g_per_ml: float = DENSITY_STANDARD,
) -> float:
    """Grams of filler to mix for a hollow of `area_cm2`, `depth_mm` at its deepest after pulling.

    area × depth × shape is what stays; the feather gets a thin film; then what is sanded off comes on top.
    """
    for value, what in ((area_cm2, "area"), (depth_mm, "depth"), (density_g_per_ml, "density")):
        if not math.isfinite(value) or value <= 0:
            raise RuleBroken(f"Enter {what} above zero to fill.", what)
    if not 0 < shape_factor <= 1:
        raise RuleBroken("Enter a shape factor above 0 and up to 1.", "shape_factor")
    if feather_cm2 < 0 or sanded_share < 0:
        raise RuleBroken("Enter zero or more for feather and sanding loss.")
    stays_ml = area_cm2 * depth_mm / 10 * shape_factor + feather_cm2 * FEATHER_MM / 10
    return stays_ml * (1 + sanded_share) * density_g_per_ml


def hardener_percent(temperature_c: float) -> float:
    """Percent of hardener by weight at an air temperature: 2 at 20 °C, more in the cold, less in the heat."""
    if not math.isfinite(temperature_c):
        raise RuleBroken("Enter the temperature as a number, for example 20.", "temperature_c")
    points = _HARDENER_BY_C
    if temperature_c <= points[0][0]:
        return points[0][1]
    for (low_c, low), (high_c, high) in pairwise(points):
        if temperature_c <= high_c:
            return round(low + (high - low) * (temperature_c - low_c) / (high_c - low_c), 2)
    return points[-1][1]


def hardener_warning(percent: float) -> str | None:
    """What is wrong with so much hardener, if anything: under 1 % stays soft, over 3 % bleeds through colour."""
    if percent < 1:
        return "With less than 1 % hardener the filler may stay soft and sink under the paint."
    if percent > 3:
        return "More than 3 % hardener may bleed through the {colour} and leave pinholes. It does not cure harder."
    return None


def depth_warnings(
    depth_mm: float, *, warn_mm: float = WARN_DEPTH_MM, most_mm: float = MOST_DEPTH_MM
) -> tuple[str, ...]:
    """Sentences about filler this deep: usually over 3 mm a warning, over 6 mm pull more or replace."""
    if depth_mm > most_mm:
        return (f"{depth_mm:g} mm of filler is too deep: pull the metal more or replace the panel.",)
    if depth_mm > warn_mm:
        return (f"{depth_mm:g} mm of filler is deep: pull more if the metal allows, and apply it in thin layers.",)
    return ()


def reckon_filler(
    area_cm2: float,
    depth_mm: float,
    temperature_c: float = 20.0,
    *,
    feather_cm2: float = 0.0,
    shape_factor: float = SHAPE_FACTOR,
    sanded_share: float = SANDED_SHARE,
    density_g_per_ml: float = DENSITY_STANDARD,
    hardener: float | None = None,
) -> FillerNeed:
    """All a fill needs, with its warnings and the sum in words; `hardener` overrides the percent by temperature."""
    grams = filler_grams(
        area_cm2,
        depth_mm,
        feather_cm2=feather_cm2,
        shape_factor=shape_factor,
        sanded_share=sanded_share,
        density_g_per_ml=density_g_per_ml,
    )
    percent = hardener_percent(temperature_c) if hardener is None else hardener
    work = scaled_minutes(WORKING_MINUTES_AT_20, temperature_c, shortest_first=True)
    sand = scaled_minutes(SANDING_MINUTES_AT_20, temperature_c)
    strong = hardener_warning(percent)
    return FillerNeed(
        filler_g=grams,
        hardener_g=grams * percent / 100,
        hardener_percent=percent,
        working_minutes=work.minutes,
        sanding_minutes=sand.minutes,
        needs_heat=sand.needs_heat,
        warnings=depth_warnings(depth_mm) + ((strong,) if strong else ()) + _cold_warnings(temperature_c),
        reason=(
            f"{area_cm2:g} cm² × {depth_mm:g} mm × {shape_factor:g} for its shape, with feather and "
            f"{sanded_share:.0%} sanded away, at {density_g_per_ml:g} g/ml: {grams:.0f} g; hardener {percent:g} %."
        ),
    )


def _cold_warnings(temperature_c: float) -> tuple[str, ...]:
    if temperature_c < LOWEST_C:
        return ("Filler is not expected to harden this cold. Heat the metal and the filler.",)
    if temperature_c < COOL_C:
        return ("It is cold for filler. Warm the metal first, or moisture and solvent stay underneath.",)
    return ()

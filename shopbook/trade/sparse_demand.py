"""Forecasts for materials that are used now and then: Croston's method, its bias correction, and one that fades.

Floats: a forecast is an estimate of use in the next period. Sources: Croston 1972; Syntetos and Boylan 2005; Teunter,
Syntetos and Babai 2011.
"""

import math
from collections.abc import Iterable, Sequence

from shopbook.trade.errors import RuleBroken

_CROSTON_SMOOTHING = 0.1
_BIAS_CORRECTION = 0.95


def smooth(values: Iterable[float], smoothing: float) -> float:
    """Simple exponential smoothing that starts at the first value; nought for no values."""
    if not 0 < smoothing <= 1:
        raise RuleBroken("A smoothing constant lies between nought and one.")
    level: float | None = None
    for value in values:
        level = value if level is None else level + smoothing * (value - level)
    return level or 0.0


def croston(use: Sequence[float]) -> float:
    """Use in the next period: the smoothed size of a use over the smoothed interval between uses.

    Both are smoothed by a tenth; the first interval counts from the beginning of the series. Nought for no use at all.
    """
    sizes, places = _used(use)
    if not sizes:
        return 0.0
    intervals = [place - before for place, before in zip(places, [0, *places], strict=False)]
    return smooth(sizes, _CROSTON_SMOOTHING) / smooth(intervals, _CROSTON_SMOOTHING)


def croston_corrected(use: Sequence[float]) -> float:
    """Croston's forecast less its known bias upwards: 0.95 of it, for smoothing by a tenth."""
    return _BIAS_CORRECTION * croston(use)


def fading_use(use: Sequence[float], size_smoothing: float = 0.1, chance_smoothing: float = 0.1) -> float:
    """The smoothed size of a use times the smoothed chance of one, which falls in every period without (TSB)."""
    sizes, _ = _used(use)
    chance = smooth((1.0 if value > 0 else 0.0 for value in use), chance_smoothing)
    return smooth(sizes, size_smoothing) * chance


def _used(use: Sequence[float]) -> tuple[list[float], list[int]]:
    if any(not math.isfinite(value) or value < 0 for value in use):
        raise RuleBroken("Use in a period cannot be less than nothing.")
    pairs = [(value, place) for place, value in enumerate(use, 1) if value > 0]
    return [value for value, _ in pairs], [place for _, place in pairs]

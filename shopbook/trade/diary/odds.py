"""How close past cars came to their planned hours, and the hours that would have covered most of them."""

import math
import statistics
from collections.abc import Sequence

FEWEST = 20
"""With fewer cars, single ones would decide the figure."""

OF_TEN = 8
"""So many of ten cars should be ready by the day that is quoted."""


def hours_for_most(cars: Sequence[tuple[int, int]]) -> int | None:
    """Thousandths of the plan within which eight of ten of these cars were done; None for fewer than twenty.

    `cars` are (planned, clocked) minutes, both above zero. Quantile by the inclusive method (Hyndman and Fan, 1996,
    type 7), rounded up.
    """
    if len(cars) < FEWEST:
        return None
    ratios = [clocked / planned for planned, clocked in cars]
    most = statistics.quantiles(ratios, n=10, method="inclusive")[OF_TEN - 1]
    return math.ceil(round(most * 1000, 6))

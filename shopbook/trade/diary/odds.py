"""How close past cars came to their planned hours, and the hours that would have covered most of them."""

import math
import statistics
from collections.abc import Callable, Sequence

from shopbook.trade.diary.board import half_of, last_slot, slot_after
from shopbook.trade.diary.late import Half
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.diary.promise import Promise
from shopbook.trade.measures.amounts import divide_half_away

FEWEST = 30
"""With fewer cars, single ones would decide the figure."""

OF_TEN = 8
"""So many of ten cars should be ready by the day that is quoted."""


def hours_for_most(cars: Sequence[tuple[int, int]]) -> int | None:
    """Thousandths of the plan within which eight of ten of these cars were done; None for fewer than thirty.

    `cars` are (planned, clocked) minutes, both above zero. Quantile by the inclusive method (Hyndman and Fan, 1996,
    type 7), rounded up.
    """
    if len(cars) < FEWEST:
        return None
    ratios = [clocked / planned for planned, clocked in cars]
    most = statistics.quantiles(ratios, n=10, method="inclusive")[OF_TEN - 1]
    return math.ceil(round(most * 1000, 6))


def told_half(opening: OpeningHours, made: Promise, most: Promise | None, cars: int) -> Half:
    """The half-day to tell a customer who asks when the car is done.

    From thirty finished cars on the one that eight of ten of them would have kept; before that half a day on top of the
    plan: ready on Wednesday morning is told as Wednesday afternoon, Friday afternoon as Monday morning.
    """
    if cars >= FEWEST:
        kept = most or made
        return kept.collect_on, str(kept.collect_half)
    return half_of(slot_after(opening, last_slot((made.collect_on, str(made.collect_half)))))


def tenths_kept(cars: Sequence[tuple[int, int]], is_kept: Callable[[int], bool]) -> int:
    """How many of ten of these cars would have been ready in time, to the nearest.

    `is_kept` says of so many thousandths of the plan whether they are done by the half-day that is told; where more
    hours are done in time, fewer are too. Of 50 cars 42 within it are 8 of 10, 43 are 9.
    """
    permille = sorted(math.ceil(clocked * 1000 / planned) for planned, clocked in cars)
    low, high = 0, len(permille)
    while low < high:
        middle = (low + high) // 2
        if is_kept(permille[middle]):
            low = middle + 1
        else:
            high = middle
    return divide_half_away(low * 10, len(permille)) if permille else 0

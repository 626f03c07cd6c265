"""Drying, curing and recoat windows: how long at the day's temperature, when they end, and which windows close."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import say_degrees

REFERENCE_C = 20.0
LOWEST_C = 12.0
HIGHEST_C = 30.0
"""The doubling rule is used from 12 to 30 °C; common practice, 75 % sure."""

CLOSED_DAY = timedelta(hours=24)
"""A closed stretch this long contains a whole day, whatever the opening hours around it."""

_STEP = timedelta(minutes=5)
_HORIZON = timedelta(days=60)

Interval = tuple[datetime, datetime]
Opening = Callable[[datetime], bool] | Sequence[Interval]
"""When the shop is open: a function of a moment, or open stretches in order (from, until)."""


class WaitKind(StrEnum):
    """Why work stops: solvent flashes off, filler sets, a coat dries to sand, it cures to handle, or a window runs."""

    FLASH = "flash"
    HARDEN = "harden"
    DRY = "dry"
    CURE = "cure"
    RECOAT_WINDOW = "recoat_window"


@dataclass(frozen=True, slots=True)
class Wait:
    """A wait at 20 °C: not before, not after where it matters, and how long with heat."""

    kind: WaitKind
    minutes: int
    not_after_minutes: int | None = None
    heated_minutes: int | None = None
    cooling_minutes: int = 0
    follows_temperature: bool = True


@dataclass(frozen=True, slots=True)
class Scaled:
    """Minutes at a temperature; `needs_heat` when it is below the range and nothing is expected to harden."""

    minutes: int
    needs_heat: bool
    reason: str


def scaled_minutes(minutes_at_20: int, temperature_c: float, *, shortest_first: bool = False) -> Scaled:
    """A wait of 20 °C at another temperature: twice as long for 10 °C less, within 12 to 30 °C.

    Colder than the range counts as 12 °C and says that it will not harden; hotter counts as 30 °C, since a hotter day
    promises nothing more. `shortest_first` is for times that must not be overrun (pot life, working time): they round
    down, and go on halving above the range. t2 = t1 × 2^((T1 − T2) ÷ 10), the two-fold rule of thumb quoted with
    Arrhenius for coatings. Raises RuleBroken for a time below zero or a temperature that is none.
    """
    if minutes_at_20 < 0:
        raise RuleBroken("A drying time cannot be below zero.", "minutes")
    if not math.isfinite(temperature_c) or not -40 <= temperature_c <= 80:
        raise RuleBroken("Enter a shop temperature between -40 and 80 °C.", "temperature_c")
    counted_c = max(temperature_c, LOWEST_C)
    if not shortest_first:
        counted_c = min(counted_c, HIGHEST_C)
    # Round up what must have dried, down what must not have set: neither may err on the dangerous side. The tiny
    # figure is what floats add to a whole minute.
    exact = minutes_at_20 * 2 ** ((REFERENCE_C - counted_c) / 10)
    minutes = math.floor(exact + 1e-9) if shortest_first else math.ceil(exact - 1e-9)
    return Scaled(minutes, temperature_c < LOWEST_C, _scaled_reason(minutes_at_20, minutes, temperature_c))


def wait_minutes(wait: Wait, temperature_c: float = REFERENCE_C, *, is_heated: bool = False) -> Scaled:
    """How long a wait lasts: at the shop's temperature, or under lamp or bake where the wait has such a time."""
    if is_heated and wait.heated_minutes is not None:
        whole = wait.heated_minutes + wait.cooling_minutes
        return Scaled(whole, False, f"{wait.heated_minutes} min with heat, then {wait.cooling_minutes} min to cool.")
    if not wait.follows_temperature:
        return Scaled(wait.minutes, False, f"{wait.minutes} min at any temperature.")
    return scaled_minutes(wait.minutes, temperature_c)


def window_minutes(wait: Wait, not_before_minutes: int, temperature_c: float = REFERENCE_C) -> int | None:
    """Within how many minutes of its start the next coat must be on; None where a wait has no window.

    A window shrinks on a warm day and never stretches on a cold one, since the sheet's figure is the most that is
    promised; it never closes before work may continue.
    """
    if wait.not_after_minutes is None:
        return None
    warm = scaled_minutes(wait.not_after_minutes, max(temperature_c, REFERENCE_C), shortest_first=True)
    return max(not_before_minutes, warm.minutes)


def first_touch_moment(not_before_at: datetime, opening: Opening, minutes: int = 0) -> datetime:
    """The first open moment at or after `not_before_at` with `minutes` of opening left, for work that needs people.

    Raises RuleBroken when the shop is not open so long within sixty days.
    """
    if not_before_at.tzinfo is None:
        raise ValueError("a moment needs a zone")
    length = timedelta(minutes=minutes)
    for opens_at, closes_at in open_stretches(not_before_at, opening):
        starts_at = max(opens_at, not_before_at)
        if starts_at < closes_at and starts_at + length <= closes_at:
            return starts_at
    raise RuleBroken("The shop is not open long enough for this in the next 60 days. Check its opening hours.")


def closed_day_between(first_at: datetime, second_at: datetime, opening: Opening) -> bool:
    """Whether a closed stretch of a day or more lies between two moments."""
    last_open_at = first_at
    for opens_at, closes_at in open_stretches(first_at, opening):
        if opens_at >= second_at:
            break
        if opens_at - last_open_at >= CLOSED_DAY:
            return True
        last_open_at = closes_at
    return second_at - last_open_at >= CLOSED_DAY


def clear_in_session(
    base_done_at: datetime, window: tuple[int, int | None], clear_minutes: int, opening: Opening
) -> str | None:
    """What is wrong with clearing this base when the shop is next open for it, in a sentence with keys; None if none.

    `window` is (not before, not after) in minutes after the base, None for no limit.
    """
    not_before, not_after = window
    starts_at = first_touch_moment(base_done_at + timedelta(minutes=not_before), opening, clear_minutes)
    if closed_day_between(base_done_at, starts_at, opening):
        return "The shop is closed between base and {clear}. Start the base on a day with time left for the {clear}."
    if not_after is not None and starts_at > base_done_at + timedelta(minutes=not_after):
        return "The base would be too old for {clear}. It must be scuffed and based again."
    return None


def open_stretches(from_at: datetime, opening: Opening) -> Sequence[Interval]:
    """The open stretches that end after `from_at`, in order, within sixty days of it.

    A callable is asked every five minutes, at :00, :05, :10 …, as opening hours are set.
    """
    if not callable(opening):
        return [stretch for stretch in sorted(opening) if stretch[1] > from_at]
    return _asked_stretches(from_at, opening)


def _asked_stretches(from_at: datetime, is_open_at: Callable[[datetime], bool]) -> list[Interval]:
    stretches: list[Interval] = []
    opened_at: datetime | None = None
    moment = from_at
    while moment < from_at + _HORIZON and len(stretches) < 30:
        is_open = is_open_at(moment)
        if is_open and opened_at is None:
            opened_at = moment
        elif not is_open and opened_at is not None:
            stretches.append((opened_at, moment))
            opened_at = None
        moment = _next_five(moment)
    return [*stretches, (opened_at, moment)] if opened_at is not None else stretches


def _next_five(moment: datetime) -> datetime:
    past = timedelta(minutes=moment.minute % 5, seconds=moment.second, microseconds=moment.microsecond)
    return moment - past + _STEP


def _scaled_reason(minutes_at_20: int, minutes: int, temperature_c: float) -> str:
    if temperature_c < LOWEST_C:
        here, least = say_degrees(temperature_c), say_degrees(LOWEST_C)
        return f"{here} is too cold to harden. Heat to at least {least}, as these times assume."
    if temperature_c == REFERENCE_C:
        return f"{length_words(minutes)} at {say_degrees(REFERENCE_C)}."
    usual, here = length_words(minutes_at_20), length_words(minutes)
    at_usual, at_here = say_degrees(REFERENCE_C), say_degrees(temperature_c)
    return f"{usual} at {at_usual} is {here} at {at_here}: time doubles for every 10 °C (18 °F) colder."


def length_words(minutes: int) -> str:
    """Minutes as a painter says them: in hours from two hours on."""
    return f"{minutes} min" if minutes < 120 else f"{round(minutes / 60, 1):g} h"

"""Hours of people: clocks cut at lunch and closing, minutes split over stages, totals of a day sheet, their cost."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum

from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out

_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Interval:
    """From one aware moment to a later one; both are cut to the whole minute, so that stretches side by side add up."""

    begins_at: datetime
    ends_at: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "begins_at", self.begins_at.replace(second=0, microsecond=0))
        object.__setattr__(self, "ends_at", self.ends_at.replace(second=0, microsecond=0))
        if self.ends_at < self.begins_at:
            raise RuleBroken("The end is before the start. Enter a later end.", "ends_at")

    @property
    def minutes(self) -> int:
        """How long it is."""
        return (self.ends_at - self.begins_at) // _MINUTE


class StopCause(StrEnum):
    """Why a clock stopped by itself."""

    LUNCH = "lunch"
    CLOSING = "closing"
    DAY_END = "day_end"


def next_stop(begun_at: datetime, hours: OpeningHours) -> tuple[datetime, StopCause]:
    """When a clock that began then stops by itself: at lunch, at closing, or for night work when the day ends."""
    day = hours.local_day(begun_at)
    stretches = hours.stretches_on(day)
    for place, (_, ends) in enumerate(stretches, 1):
        if begun_at < ends:
            return ends, StopCause.CLOSING if place == len(stretches) else StopCause.LUNCH
    return hours.moment(day + timedelta(days=1), time(0)), StopCause.DAY_END


def split_minutes(minutes: int, planned_minutes: Sequence[int]) -> list[int]:
    """One clock's minutes over its stages by their planned minutes; evenly when none is planned. Sums exactly."""
    if any(planned_minutes):
        return share_out(minutes, planned_minutes)
    return share_out(minutes, [1] * len(planned_minutes))


def subtract(whole: Iterable[Interval], taken: Iterable[Interval]) -> list[Interval]:
    """What is left of some intervals after others are cut out; in order, never empty ones."""
    left = merge(whole)
    for cut in merge(taken):
        left = [piece for interval in left for piece in _without(interval, cut)]
    return left


def merge(intervals: Iterable[Interval]) -> list[Interval]:
    """The time that intervals cover between them, each moment once; in order, never empty ones."""
    joined: list[Interval] = []
    for interval in sorted(intervals, key=lambda one: one.begins_at):
        if joined and interval.begins_at <= joined[-1].ends_at:
            joined[-1] = Interval(joined[-1].begins_at, max(joined[-1].ends_at, interval.ends_at))
        else:
            joined.append(interval)
    return [interval for interval in joined if interval.minutes]


def _without(interval: Interval, cut: Interval) -> list[Interval]:
    if cut.ends_at <= interval.begins_at or cut.begins_at >= interval.ends_at:
        return [interval]
    before = Interval(interval.begins_at, max(cut.begins_at, interval.begins_at))
    after = Interval(min(cut.ends_at, interval.ends_at), interval.ends_at)
    return [piece for piece in (before, after) if piece.minutes]


@dataclass(frozen=True, slots=True)
class Placed:
    """A stretch of a person's day that is accounted for: on a car, or on something else in the shop."""

    interval: Interval
    is_on_car: bool = True


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A person's day in minutes: here = on cars + elsewhere + to place, unless entries overlap or lie outside.

    `outside_minutes` were clocked while not here; `overlap_minutes` were clocked twice. Both ask for a correction.
    """

    here_minutes: int
    on_cars_minutes: int
    elsewhere_minutes: int
    to_place_minutes: int
    outside_minutes: int
    overlap_minutes: int
    holes: tuple[Interval, ...]


def sum_day(attendance: Sequence[Interval], lunch: Sequence[Interval], placed: Sequence[Placed]) -> DaySheet:
    """The totals of a day sheet and its gaps: time here, less lunch, that no entry accounts for.

    A lunch that somebody worked through on a car counts as here.
    """
    entries = [entry.interval for entry in placed]
    pause = subtract(lunch, entries)
    here = subtract(attendance, pause)
    holes = subtract(here, entries)
    covered = merge(entries)
    return DaySheet(
        here_minutes=_total(here),
        on_cars_minutes=_total(entry.interval for entry in placed if entry.is_on_car),
        elsewhere_minutes=_total(entry.interval for entry in placed if not entry.is_on_car),
        to_place_minutes=_total(holes),
        outside_minutes=_total(subtract(covered, here)),
        overlap_minutes=_total(entries) - _total(covered),
        holes=tuple(holes),
    )


def _total(intervals: Iterable[Interval]) -> int:
    return sum(interval.minutes for interval in intervals)


def labour_cost(minutes: int, hourly_cost_minor: int) -> int:
    """What these minutes of a person cost at that person's hourly cost on the day, halves away from zero.

    Each clock entry is rounded on its own, so that a job, a person and a month add up to the same sum.
    """
    return divide_half_away(minutes * hourly_cost_minor, 60)


def to_tenths(minutes: int) -> str:
    """Minutes as hours with one decimal: 24 is "0.4 h", halves away from zero."""
    return _tenths_words(divide_half_away(minutes, 6))


def sum_in_tenths(*minutes: int) -> str:
    """The sum of figures that stand beside it, as the eye adds them up from one decimal each; below zero takes away.

    946 of 735 minutes are said as 15.8 of 12.3 h, and `sum_in_tenths(946, -735)` is "3.5 h"; 945 of 740 are 15.8 of
    12.3 h too, and again 3.5 over, though 205 minutes alone are 3.4.
    """
    return _tenths_words(sum(divide_half_away(each, 6) for each in minutes))


def parts_in_tenths(parts: Sequence[int]) -> list[str]:
    """Parts of a whole in hours with one decimal that add up to the whole's own, so that a sheet adds up to the eye."""
    total = divide_half_away(sum(parts), 6)
    floors = [part // 6 for part in parts]
    by_rest = sorted(range(len(parts)), key=lambda place: (-(parts[place] % 6), place))
    for place in by_rest[: total - sum(floors)]:
        floors[place] += 1
    return [_tenths_words(tenths) for tenths in floors]


def _tenths_words(tenths: int) -> str:
    whole, part = divmod(abs(tenths), 10)
    return f"{'−' if tenths < 0 else ''}{whole}.{part} h"

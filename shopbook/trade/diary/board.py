"""The board of the diary: working days across, and the half-days of them over which a car stands at the shop."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from shopbook.trade.diary.late import Half
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.measures.half_days import half_day_end

Slot = tuple[date, bool]
"""A half-day in order: its day, and whether it is the afternoon. Two of them compare."""


class StayState(StrEnum):
    """What a car is doing on the board."""

    BOOKED = "booked"
    IN_WORK = "in_work"
    READY = "ready"
    LATE = "late"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class CarDays:
    """What the book says of the days of one car. `ready_by` is the half-day on which its plan, placed now, ends: given
    only where that is after what was told."""

    drop_off: Half | None = None
    told: Half | None = None
    ready_by: Half | None = None
    came: Slot | None = None
    gone: Slot | None = None
    is_ready: bool = False


@dataclass(frozen=True, slots=True)
class Stay:
    """The half-days that a car takes, first and last included; `ends` None: nobody can say when the keys go out.

    `told` is the last half-day that was promised, where the car stays past it.
    """

    begins: Slot
    ends: Slot | None
    standing: StayState
    told: Slot | None = None


@dataclass(frozen=True, slots=True)
class Across:
    """Where a stay lies on the board: its first and last half-day, from 0; whether it began before or goes on after."""

    first: int
    last: int
    is_since: bool
    is_on: bool


def first_slot(half: Half) -> Slot:
    """The half-day from which a car is expected: any time of a day begins with its morning."""
    return half[0], half[1] == "afternoon"


def last_slot(half: Half) -> Slot:
    """The half-day until which it is promised: any time of a day ends with its afternoon."""
    return half_day_end(*half)


def half_of(slot: Slot) -> Half:
    """A half-day as it is kept with a job."""
    return slot[0], (HalfDay.AFTERNOON if slot[1] else HalfDay.MORNING).value


def slot_after(opening: OpeningHours, slot: Slot) -> Slot:
    """The next half-day on which the shop is open."""
    return (slot[0], True) if not slot[1] else (opening.add_working_days(slot[0] + timedelta(days=1), 0), False)


def slot_before(opening: OpeningHours, slot: Slot) -> Slot:
    """The half-day before it on which the shop is open; the same where none is for a month."""
    if slot[1]:
        return slot[0], False
    earlier = opening.working_days(slot[0] - timedelta(days=31), slot[0] - timedelta(days=1))
    return (earlier[-1], True) if earlier else slot


def half_days_later(opening: OpeningHours, slot: Slot, last: Slot) -> int:
    """How many half-days of opening lie between two, none for a last that is not later."""
    count = 0
    while slot < last:
        slot, count = slot_after(opening, slot), count + 1
    return count


def stay_of(car: CarDays, now: Slot) -> Stay | None:
    """From drop-off until the keys go out; None for a car that has not come although its half-day is over, or that no
    day is planned for.

    A car that is ready stays until the half-day of its pickup, and once that is over nobody can say how long. So does
    one that is here past its promise with no plan to place. A late car stays until it can be ready.
    """
    if car.came is None:
        return _booked(car, now)
    if car.gone is not None:
        return Stay(car.came, car.gone, StayState.GONE)
    return _here(car, car.came, now)


def _booked(car: CarDays, now: Slot) -> Stay | None:
    if car.drop_off is None or _is_over(car.drop_off, now):
        return None
    begins = max(first_slot(car.drop_off), now)
    told = last_slot(car.told) if car.told else begins
    if car.ready_by is not None:
        return Stay(begins, max(last_slot(car.ready_by), begins), StayState.LATE, told)
    return Stay(begins, max(told, begins), StayState.BOOKED)


def _is_over(half: Half, now: Slot) -> bool:
    return last_slot(half) < now


def _here(car: CarDays, came: Slot, now: Slot) -> Stay:
    told = last_slot(car.told) if car.told else None
    standing = StayState.READY if car.is_ready else StayState.IN_WORK
    if car.ready_by is not None:
        return Stay(came, max(last_slot(car.ready_by), now), StayState.LATE, told)
    if told is None:
        return Stay(came, None, standing)
    if told < now:
        return Stay(came, None, standing if car.is_ready else StayState.LATE, told)
    return Stay(came, told, standing)


def has_not_come(car: CarDays, now: Slot) -> bool:
    """Whether it was expected by now and is not here: no place is held for it."""
    return car.came is None and car.drop_off is not None and _is_over(car.drop_off, now)


def slots_of(days: Iterable[date]) -> list[Slot]:
    """The half-days of some days, in order."""
    return [(day, is_afternoon) for day in days for is_afternoon in (False, True)]


def across(stay: Stay, slots: Sequence[Slot]) -> Across | None:
    """Where a stay lies among the half-days shown; closed days between take none. None where it lies outside."""
    shown = [place for place, slot in enumerate(slots) if stay.begins <= slot and (not stay.ends or slot <= stay.ends)]
    if not shown:
        return None
    is_on = stay.ends is None or stay.ends > slots[-1]
    return Across(shown[0], shown[-1], stay.begins < slots[0], is_on)


def half_days_taken(stay: Stay, slots: Sequence[Slot]) -> frozenset[Slot]:
    """The half-days of those shown that a stay takes."""
    found = across(stay, slots)
    return frozenset(slots[found.first : found.last + 1]) if found else frozenset()

"""A car lifted on the board: the days that it would have from another half-day on, and what that does to every car."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sqlalchemy import inspect
from sqlalchemy.orm.attributes import set_committed_value

from shopbook.models.jobs import Job
from shopbook.queries.diary.board import Board, BoardReading, board_of, half_or_none
from shopbook.queries.diary.promised import PromisedJob, as_promised
from shopbook.trade.diary.board import (
    Slot,
    first_slot,
    half_days_later,
    half_of,
    last_slot,
    slot_after,
    slot_before,
)
from shopbook.trade.diary.late import Half, LateCar
from shopbook.trade.diary.rooms import PlaceRoom, crowded


@dataclass(frozen=True, slots=True)
class MovedDays:
    """The days and the place that a lifted car would have; the drop-off of a car that is here stays as it is."""

    drop_off: Half | None
    told: Half | None
    place_id: int | None


@dataclass(frozen=True, slots=True)
class CarEffect:
    """A car whose promise is touched: how late it is before and after, each None where what was told is kept."""

    job: Job
    before: LateCar | None
    after: LateCar | None


@dataclass(frozen=True, slots=True)
class MovedBoard:
    """The board with a car moved, and what that does: cars that get later or sooner, half-days on which a place would
    hold too many, jobs whose sessions would overlap. `slot` is the half-day that was moved, `earlier` and `later` those
    beside it."""

    job: Job
    days: MovedDays
    slot: Slot
    earlier: Slot | None
    later: Slot
    before: Board
    after: Board
    cars: tuple[CarEffect, ...]
    crowds: tuple[tuple[PlaceRoom, Slot, int], ...]
    clashing: tuple[int, ...]


def move_on_board(seen: BoardReading, job: Job, wanted: Slot | None, place_id: int | None) -> MovedBoard:
    """The board with this car lifted to a half-day and a place; no statement.

    A car still to come is dropped off then, and is promised for when its plan can be done from there. A car that is
    here is promised for that half-day; of one that is ready only the place changes. None: its own. No car but this one
    moves: another keeps the promise that it was given, and is late where that cannot be kept any more.
    """
    slot = _possible(seen, own_slot(seen, job) if wanted is None else wanted)
    days = _days_at(seen, job, slot if wanted else None, place_id)
    before, after = board_of(seen), board_of(_as_moved(seen, job, days))
    stood = set(_crowds(before))
    earlier = slot_before(seen.shop.opening, slot)
    return MovedBoard(
        job=job,
        days=days,
        slot=slot,
        earlier=earlier if seen.now_slot <= earlier < slot else None,
        later=slot_after(seen.shop.opening, slot),
        before=before,
        after=after,
        cars=tuple(_touched(seen, before, after)),
        crowds=tuple(each for each in _crowds(after) if each not in stood),
        clashing=tuple(sorted({each.number for each in after.clashes} - {each.number for each in before.clashes})),
    )


def _possible(seen: BoardReading, slot: Slot) -> Slot:
    """The half-day itself, or the first one from it on that is not over and on which the shop opens."""
    day, is_afternoon = max(slot, seen.now_slot)
    return seen.shop.opening.add_working_days(day, 0), is_afternoon


def _touched(seen: BoardReading, before: Board, after: Board) -> Iterator[CarEffect]:
    for key in dict.fromkeys((*before.late, *after.late)):
        effect = CarEffect(seen.jobs[key], before.late.get(key), after.late.get(key))
        if effect.before != effect.after:
            yield effect


def _days_at(seen: BoardReading, job: Job, slot: Slot | None, place_id: int | None) -> MovedDays:
    told = half_or_none(job.promise_on, job.promise_half)
    if slot is None or job.ready_at is not None:
        return MovedDays(_drop_off(job), told, place_id)
    if job.came_at is not None:
        return MovedDays(_drop_off(job), half_of(slot), place_id)
    return _days_from(seen, job, slot, place_id)


def own_slot(seen: BoardReading, job: Job) -> Slot:
    """The half-day that moves with a car: its drop-off, or the promise of one that is here; now where it has none."""
    if job.came_at is not None:
        return last_slot((job.promise_on, job.promise_half)) if job.promise_on else seen.now_slot
    own = _drop_off(job)
    return first_slot(own) if own else seen.now_slot


def _drop_off(job: Job) -> Half | None:
    return half_or_none(job.drop_off_on, job.drop_off_half)


def _days_from(seen: BoardReading, job: Job, slot: Slot, place_id: int | None) -> MovedDays:
    """The days of a car that is dropped off then. Where no plan says when it is done, it stays as long as before."""
    untold = _changed(job, MovedDays(half_of(slot), None, place_id))
    made = seen.ahead.suggest(replace(seen.wholes[job.id], job=untold), seen.now).promise
    if made is not None:
        return MovedDays(half_of(slot), (made.collect_on, str(made.collect_half)), place_id)
    return MovedDays(half_of(slot), _as_long(seen, job, slot), place_id)


def _as_long(seen: BoardReading, job: Job, slot: Slot) -> Half | None:
    own = _drop_off(job)
    if own is None or job.promise_on is None:
        return None
    last = slot
    for _ in range(half_days_later(seen.shop.opening, first_slot(own), last_slot((job.promise_on, job.promise_half)))):
        last = slot_after(seen.shop.opening, last)
    return half_of(last)


def _as_moved(seen: BoardReading, job: Job, days: MovedDays) -> BoardReading:
    """The same reading with other days for one job; the rows of the book stay as they are."""
    moved, shop = _changed(job, days), seen.shop

    def laid(each: PromisedJob) -> PromisedJob:
        return as_promised(moved, each.work, shop.opening, shop.day) if each.job_id == job.id else each

    wholes = {**seen.wholes, job.id: replace(seen.wholes[job.id], job=moved)}
    promised = [laid(each) for each in seen.promised]
    return replace(seen, jobs={**seen.jobs, job.id: moved}, wholes=wholes, promised=promised)


def _changed(job: Job, days: MovedDays) -> Job:
    """A copy of a job that no session knows, so that nothing of it is ever written."""
    copy = Job()
    for attribute in inspect(Job).attrs:
        if attribute.key in job.__dict__:
            set_committed_value(copy, attribute.key, job.__dict__[attribute.key])
    copy.drop_off_on, copy.drop_off_half = days.drop_off or (None, "")
    copy.promise_on, copy.promise_half = days.told or (None, "")
    copy.place_id = days.place_id
    return copy


def _crowds(board: Board) -> list[tuple[PlaceRoom, Slot, int]]:
    """Every half-day on which a place holds more cars than it can."""
    return [
        (room, slot, count)
        for room in board.rooms
        for slot, count in crowded(
            room, [car.taken for car in board.cars if car.room_id == room.id], board.slots
        ).items()
    ]

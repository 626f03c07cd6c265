"""The bars of the board in words and columns: one for each car at its place, with where it leads."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from shopbook.queries.diary.board import Board, BoardCar
from shopbook.trade.diary.board import Slot, Stay, StayState, across, half_of, last_slot
from shopbook.trade.diary.rooms import PlaceRoom, crowded, is_full
from shopbook.trade.measures.half_days import half_day_words
from shopbook.trade.measures.locales import write_day
from shopbook.web.parts.frame import country, hour_figure, near_day
from shopbook.web.parts.kept_day import called_name
from shopbook.web.parts.rows import Job

COLUMNS_A_DAY = 3
"""Two half-days and the gap behind them, which is there only where closed days lie between."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar from a column to another, counted within the run of its car.

    `edge` is the half-day that moves with it: its drop-off ("from"), or the promise of a car that is here ("to");
    "place" where only that moves, empty for a car that is gone.
    """

    job: Job
    title: str
    words: str
    label: str
    kind: str
    at: int
    to: int
    edge: str = ""


@dataclass(frozen=True, slots=True)
class CarRun:
    """The bars of one car, side by side, from a column to another: its stay, and what goes past its promise."""

    at: int
    to: int
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Lane:
    """A place with its cars; `remarks` say where it holds too many or is full."""

    room_id: int | None
    name: str
    remarks: tuple[str, ...]
    is_over: bool
    runs: tuple[CarRun, ...]


def column(place: int) -> int:
    """The grid column of a half-day, counted from 0 in, from 1 out."""
    return COLUMNS_A_DAY * (place // 2) + place % 2 + 1


def short_half(slot: Slot) -> str:
    """A half-day where there is little room: "Fri pm"."""
    return f"{write_day(slot[0], 'EEE')} {'pm' if slot[1] else 'am'}"


def lanes_of(board: Board, moved: int | None = None) -> list[Lane]:
    """Every place with its cars; then those for which none is free, and those that went."""
    lanes = [_lane(board, room, moved) for room in board.rooms]
    homeless = [car for car in board.cars if car.room_id is None and car.stay.standing is not StayState.GONE]
    gone = [car for car in board.cars if car.room_id is None and car.stay.standing is StayState.GONE]
    if homeless:
        lanes.append(Lane(None, "No place free", (), True, _runs(board, homeless, moved)))
    if gone:
        lanes.append(Lane(None, "Picked up", (), False, _runs(board, gone, moved)))
    return lanes


def _lane(board: Board, room: PlaceRoom, moved: int | None) -> Lane:
    cars = [car for car in board.cars if car.room_id == room.id]
    taken = [car.taken for car in cars]
    over = crowded(room, taken, board.slots)
    remarks = [f"{count} cars {words}" for words, count in _too_many(over)]
    if not over and cars and is_full(room, taken, board.slots):
        remarks.append("full")
    name = f"{room.name}, {room.capacity}" if room.capacity and room.capacity > 1 else room.name
    return Lane(room.id, name, tuple(remarks), bool(over), _runs(board, cars, moved))


def _too_many(over: dict[Slot, int]) -> Iterator[tuple[str, int]]:
    """Days on which a place holds too many, one after the other as one: "Fri", "Fri to Mon"."""
    days = sorted({slot[0] for slot in over})
    for count, group in groupby(days, key=lambda day: max(n for slot, n in over.items() if slot[0] == day)):
        run = list(group)
        yield _day_run(run), count


def _day_run(days: Sequence[date]) -> str:
    first, last = write_day(days[0], "EEE"), write_day(days[-1], "EEE")
    return first if len(days) == 1 else f"{first} to {last}"


def _runs(board: Board, cars: Iterable[BoardCar], moved: int | None) -> tuple[CarRun, ...]:
    every = (list(_bars_of(board, car, is_moved=car.job.number == moved)) for car in cars)
    return tuple(_run(bars) for bars in every if bars)


def _run(bars: Sequence[Bar]) -> CarRun:
    first = bars[0].at
    within = tuple(replace(bar, at=bar.at - first + 1, to=bar.to - first + 1) for bar in bars)
    return CarRun(first, bars[-1].to, within)


def _bars_of(board: Board, car: BoardCar, *, is_moved: bool) -> Iterator[Bar]:
    """A car's bar, and behind the promise of a late one what it takes longer."""
    told, stay = car.stay.told, car.stay
    if stay.standing is StayState.LATE and told and told >= stay.begins and (stay.ends is None or told < stay.ends):
        yield from _bar(board, car, Stay(stay.begins, told, stay.standing), is_moved=is_moved)
        yield from _past(board, car, told)
    else:
        yield from _bar(board, car, stay, is_moved=is_moved)


def _bar(board: Board, car: BoardCar, stay: Stay, *, is_moved: bool) -> Iterator[Bar]:
    span = across(stay, board.slots)
    if span is None:
        return
    kinds = [car.stay.standing.value, "since" if span.is_since else "", "on" if span.is_on else ""]
    kinds += ["moved" if is_moved else "", "short" if span.first == span.last else ""]
    name = _name(car.job)
    yield Bar(
        car.job,
        name,
        state_words(car, board.today),
        f"{name}, {stay_words(car.stay, board.today)}, {state_words(car, board.today)}",
        " ".join(kind for kind in kinds if kind),
        column(span.first),
        column(span.last) + 1,
        _edge(car),
    )


def _past(board: Board, car: BoardCar, told: Slot) -> Iterator[Bar]:
    """From behind the promise until the car can be ready, with its name where no bar stands in front."""
    slots, ends = board.slots, car.stay.ends
    shown = [slot for slot in slots if told < slot <= (ends or slots[-1])]
    span = across(Stay(shown[0], shown[-1], car.stay.standing), slots) if shown else None
    if span is None:
        return
    words, to = _ready_words(car, is_short=span.last == span.first), column(span.last) + 1
    label = f"{car.job.number} past its promise, {words}"
    if told in slots:
        yield Bar(car.job, "", words, label, "past", column(slots.index(told)) + 1, to)
    else:
        words = f"{_late_words(told, board.today)} · {words}"
        yield Bar(car.job, _name(car.job), words, label, "late since", column(span.first), to, _edge(car))


def _ready_words(car: BoardCar, *, is_short: bool) -> str:
    if car.late is None:
        return "no day yet"
    day = short_half(last_slot(car.late.ready))
    return day if is_short else f"ready {day}"


def _name(job: Job) -> str:
    return f"{job.number} {called_name(job)}".strip()


def _edge(car: BoardCar) -> str:
    if car.job.handed_over_at:
        return ""
    if car.job.ready_at:
        return "place"
    return "to" if car.job.came_at else "from"


def state_words(car: BoardCar, today: date) -> str:
    """What a bar says under its name: hours that are left, and what is told or missing."""
    told = car.stay.told
    left = f"{hour_figure(car.left_minutes)} h left" if car.left_minutes and car.job.came_at else ""
    left = left or (f"{hour_figure(car.left_minutes)} h" if car.left_minutes else "")
    state = {
        StayState.BOOKED: "booked",
        StayState.IN_WORK: _told_words(car),
        StayState.READY: "ready, " + (f"pickup {short_half(car.stay.ends)}" if car.stay.ends else "not picked up"),
        StayState.LATE: _late_words(told, today),
        StayState.GONE: "picked up",
    }[car.stay.standing]
    return " · ".join(each for each in (state, left) if each)


def _told_words(car: BoardCar) -> str:
    return f"out {short_half(car.stay.ends)}" if car.stay.ends else "no day promised"


def _late_words(told: Slot | None, today: date) -> str:
    if told is None:
        return "late"
    return f"late since {near_day(told[0])}" if told[0] < today else f"promised {short_half(told)}"


def stay_words(stay: Stay, today: date) -> str:
    """From when to when, in whole words for who does not see the board."""
    form = country().date_form
    begins = half_day_words(*half_of(stay.begins), today, form)
    return f"{begins} to {half_day_words(*half_of(stay.ends), today, form)}" if stay.ends else f"from {begins} on"

"""One day of the board as lists, for a phone: who is past the day, who goes, who comes and who stays."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from shopbook.queries.diary.board import Board, BoardCar
from shopbook.trade.diary.board import StayState
from shopbook.web.diary.bars import state_words
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class DayRow:
    """One car on that day: what is said of it, and its place."""

    job: Job
    words: str
    is_late: bool
    place: str


@dataclass(frozen=True, slots=True)
class DayList:
    """The cars under one heading."""

    heading: str
    rows: tuple[DayRow, ...]


def lists_of_day(board: Board, day: date) -> list[DayList]:
    """The lists of a day that hold a car, the worst first; every car of the day stands in one of them."""
    names = {room.id: room.name for room in board.rooms}
    found: dict[str, list[DayRow]] = {heading: [] for heading in _HEADINGS}
    for car in _on(board, day):
        is_late = car.stay.standing is StayState.LATE
        place = names.get(car.room_id or 0, "no place free")
        found[_heading(car, day)].append(DayRow(car.job, state_words(car, board.today), is_late, place))
    return [DayList(heading, tuple(rows)) for heading, rows in found.items() if rows]


_PAST, _OUT, _IN, _STAYS = _HEADINGS = ("Still here past their day", "Going out", "Coming in", "Staying")


def _on(board: Board, day: date) -> Iterator[BoardCar]:
    return (car for car in board.cars if any(slot[0] == day for slot in car.taken))


def _heading(car: BoardCar, day: date) -> str:
    stay = car.stay
    if stay.told is not None and stay.told[0] < day:
        return _PAST
    if stay.ends is None and stay.standing is StayState.READY:
        return _PAST
    if (stay.told or stay.ends or (None,))[0] == day:
        return _OUT
    return _IN if stay.begins[0] == day and not car.job.came_at else _STAYS

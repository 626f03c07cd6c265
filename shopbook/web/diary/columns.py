"""The days of the board in words: hours to one scale, sessions by the clock, the weeks, and four weeks small."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shopbook.queries.diary.board import Board, slot_at
from shopbook.queries.diary.hours import SkillHours, sum_hours
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.diary.sessions import SprayTime, in_the_way
from shopbook.trade.measures.locales import write_day
from shopbook.web.diary.bars import COLUMNS_A_DAY
from shopbook.web.parts.frame import clock_text, day_text, hour_figure

FULL_WIDTH = 100


@dataclass(frozen=True, slots=True)
class HoursBar:
    """Hours of one skill on one day; `fill`, `over` and `there` are hundredths of the one scale of the board."""

    skill: str
    figures: str
    words: str
    is_over: bool
    fill: int
    over: int
    there: int


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One session on the spray bay; the widths are hundredths of the day from opening to closing."""

    number: int
    times: str
    hint: str
    is_clash: bool
    begins: int
    sprayed: int
    untaped: int


@dataclass(frozen=True, slots=True)
class Column:
    """One day across."""

    on: date
    name: str
    words: str
    is_today: bool
    at: int
    gap: str | None
    """What closes the shop behind it, empty for its usual closed days; None where the next day follows at once."""
    loads: tuple[HoursBar, ...]
    sessions: tuple[SessionRow, ...]
    away: tuple[str, ...]


def columns_of(board: Board, opening: OpeningHours) -> list[Column]:
    """Every day across, in order."""
    most = _longest(board.hours.values())
    away: dict[date, list[str]] = {}
    for row in board.away:
        away.setdefault(row.absence.on, []).append(row.name)
    return [
        Column(
            on=day,
            name=write_day(day, "EEE"),
            words=day_text(day),
            is_today=day == board.today,
            at=COLUMNS_A_DAY * place + 1,
            gap=_gap(board, day, board.days[place + 1]) if place + 1 < len(board.days) else None,
            loads=tuple(_load(one, most) for one in board.hours.get(day, ())),
            sessions=tuple(_session(one, board, opening) for one in board.sessions if _is_on(one, day, opening)),
            away=tuple(away.get(day, ())),
        )
        for place, day in enumerate(board.days)
    ]


def _longest(days: Iterable[Sequence[SkillHours]]) -> int:
    """The minutes that fill a bar's whole width: the most of any skill on any day, be they promised or there."""
    rows = [one for day in days for one in day]
    return max((max(one.promised_minutes, one.there_minutes) for one in rows), default=0) or 1


def _gap(board: Board, day: date, following: date) -> str | None:
    shut = [later for later in board.closed if day < later < following]
    return ", ".join(dict.fromkeys(board.closed[each] for each in shut if board.closed[each])) if shut else None


def _load(one: SkillHours, most: int) -> HoursBar:
    skill, promised, there = SKILL_WORDS[Skill(one.skill)], one.promised_minutes, one.there_minutes
    figures = f"{hour_figure(promised)} of {hour_figure(there)}"
    over = f", {hour_figure(promised - there)} h over" if one.is_over else ""
    return HoursBar(
        skill,
        figures,
        f"{skill}: {figures} h promised{over}",
        one.is_over,
        min(promised, there) * FULL_WIDTH // most,
        max(promised - there, 0) * FULL_WIDTH // most,
        there * FULL_WIDTH // most,
    )


def _is_on(session: SprayTime, day: date, opening: OpeningHours) -> bool:
    return opening.local_day(session.starts_at) == day


def _session(one: SprayTime, board: Board, opening: OpeningHours) -> SessionRow:
    day = opening.stretches_on(opening.local_day(one.starts_at))
    opens, length = day[0][0], day[-1][1] - day[0][0]
    begins, sprayed, free = (_part(moment - opens, length) for moment in (one.starts_at, one.sprayed_at, one.free_at))
    return SessionRow(
        one.number,
        f"{_clock(one.starts_at)} to {_clock(one.free_at)}",
        _hint(one, board, opening),
        one in board.clashes,
        begins,
        sprayed - begins,
        free - sprayed,
    )


def _clock(moment: datetime) -> str:
    """The time to five minutes, as a bay is booked; there is no room to say that it is not at night."""
    minutes = (moment.minute + 2) // 5 * 5
    return clock_text(moment.replace(minute=0) + timedelta(minutes=minutes)).removesuffix(" am").removesuffix(" pm")


def _part(since: timedelta, length: timedelta) -> int:
    return min(max(since * FULL_WIDTH // length, 0), FULL_WIDTH)


def _hint(one: SprayTime, board: Board, opening: OpeningHours) -> str:
    bays, slot = {room.id for room in board.rooms if room.is_spray_bay}, slot_at(opening, one.starts_at)
    standing = [car.job.number for car in board.cars if car.room_id in bays and slot in car.taken]
    out = in_the_way(one, standing)
    return f"move {' and '.join(map(str, out))} out first" if out else ""


@dataclass(frozen=True, slots=True)
class WeekSum:
    """The hours of those days of the board that are of one week, from a column to another."""

    words: str
    at: int
    to: int


def weeks_of(board: Board) -> list[WeekSum]:
    """The total of each week on the board: "This week: body 4.1 of 24.0 h"."""
    found = []
    for monday in dict.fromkeys(day - timedelta(days=day.weekday()) for day in board.hours):
        days = [day for day in board.days if monday <= day < monday + timedelta(days=7)]
        rows = sum_hours([board.hours[day] for day in days if day in board.hours])
        is_this = monday <= board.today < monday + timedelta(days=7)
        name = "This week" if is_this else f"{day_text(days[0])} on" if len(days) > 1 else day_text(days[0])
        first, last = board.days.index(days[0]), board.days.index(days[-1])
        words = ", ".join(f"{SKILL_WORDS[Skill(one.skill)].lower()} {_of(one)}" for one in rows)
        found.append(WeekSum(f"{name}: {words} h", COLUMNS_A_DAY * first + 1, COLUMNS_A_DAY * last + 3))
    return found


def _of(one: SkillHours) -> str:
    return f"{hour_figure(one.promised_minutes)} of {hour_figure(one.there_minutes)}"


@dataclass(frozen=True, slots=True)
class SmallDay:
    """One day of the four weeks: all hours as one bar, and the cars that need a place."""

    on: date
    name: str
    figures: str
    words: str
    is_over: bool
    is_past: bool
    fill: int
    over: int
    there: int


def small_days(board: Board) -> list[SmallDay]:
    """The working days of four weeks."""
    sums = {day: _all(rows) for day, rows in board.small.items()}
    most = max((max(one) for one in sums.values()), default=0) or 1
    return [_small(board, day, promised, there, most) for day, (promised, there) in sums.items()]


def _all(rows: Sequence[SkillHours]) -> tuple[int, int]:
    return sum(one.promised_minutes for one in rows), sum(one.there_minutes for one in rows)


def _small(board: Board, day: date, promised: int, there: int, most: int) -> SmallDay:
    cars = board.counts.get(day, 0)
    figures = f"{hour_figure(promised)} of {hour_figure(there)}"
    name = f"{write_day(day, 'EEE')} {day.day}"
    words = f"{name}: {figures} h promised, {cars} car{'s' if cars != 1 else ''}"
    over = any(one.is_over for one in board.small[day])
    return SmallDay(
        day,
        name,
        figures,
        words,
        over,
        day < board.today,
        min(promised, there) * FULL_WIDTH // most,
        max(promised - there, 0) * FULL_WIDTH // most,
        there * FULL_WIDTH // most,
    )

"""The board: six working days with hours and sessions, every car at its place from drop-off until the keys go out."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import Away, list_absences
from shopbook.queries.diary.hours import SkillHours, hours_by_day
from shopbook.queries.diary.later import is_open_promise, late_by
from shopbook.queries.diary.promised import PromisedJob, count_cars, list_promised, sum_minutes, sum_undated
from shopbook.queries.diary.rooms import rooms_of
from shopbook.queries.diary.suggest import AHEAD_DAYS, Ahead, Suggestion, read_ahead
from shopbook.queries.jobs.whole import WholeJob, whole_jobs
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.board import CarDays, Slot, Stay, half_days_taken, has_not_come, slots_of, stay_of
from shopbook.trade.diary.late import Half, LateCar
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.rooms import PlaceRoom, fit_in
from shopbook.trade.diary.sessions import SprayTime, overlapping, sessions_of

DAYS_ACROSS = 6
"""Today and the next five working days."""

SMALL_DAYS = 28
"""Four weeks, small, from the Monday of the first day shown."""

LONGEST_EXPECTED = timedelta(days=60)
"""A car that did not come for so long is not looked for any more."""


@dataclass(frozen=True, slots=True)
class BoardCar:
    """One car on the board. `room_id` is its place, or the one into which it fits; None: no place is free."""

    job: Job
    stay: Stay
    taken: frozenset[Slot]
    late: LateCar | None
    left_minutes: int
    room_id: int | None


@dataclass(frozen=True, slots=True)
class Board:
    """What the page shows. Hours are given from today on; the hours of days past are no plan any more."""

    today: date
    days: tuple[date, ...]
    closed: Mapping[date, str]
    """Closed days between those shown, with their reason; a usual closed day has none."""
    hours: Mapping[date, tuple[SkillHours, ...]]
    away: tuple[Away, ...]
    rooms: tuple[PlaceRoom, ...]
    cars: tuple[BoardCar, ...]
    late: Mapping[int, LateCar]
    late_jobs: tuple[Job, ...]
    not_come: tuple[Job, ...]
    undated: tuple[Job, ...]
    undated_minutes: int
    sessions: tuple[SprayTime, ...]
    clashes: frozenset[SprayTime]
    small: Mapping[date, tuple[SkillHours, ...]]
    counts: Mapping[date, int]
    """Cars at the shop on each of the days shown small."""

    @property
    def slots(self) -> list[Slot]:
        """The half-days across."""
        return slots_of(self.days)


@dataclass(frozen=True, slots=True)
class BoardReading:
    """What the book says for a board, read once; a car can be moved in it without a further statement."""

    shop: ShopOn
    now: datetime
    days: tuple[date, ...]
    jobs: Mapping[int, Job]
    wholes: Mapping[int, WholeJob]
    promised: Sequence[PromisedJob]
    away: Sequence[Away]

    @property
    def ahead(self) -> Ahead:
        """The diary from today on, into which a job is placed."""
        return read_ahead(self.shop, self.promised, self.away)

    @property
    def now_slot(self) -> Slot:
        """The half-day that it is."""
        return slot_at(self.shop.opening, self.now)


def slot_at(opening: OpeningHours, moment: datetime) -> Slot:
    """The half-day of a moment."""
    return opening.local_day(moment), opening.half_day(moment) is HalfDay.AFTERNOON


def days_across(opening: OpeningHours, first: date) -> tuple[date, ...]:
    """The working days of a board that begins with a day, or with the next one on which the shop opens."""
    days = [opening.add_working_days(first, 0)]
    while len(days) < DAYS_ACROSS:
        days.append(opening.add_working_days(days[-1] + timedelta(days=1), 0))
    return tuple(days)


def read_board(shop: ShopOn, first: date, now: datetime, lifted: int | None = None) -> BoardReading:
    """The board from a day on; a fixed number of statements, however many cars there are.

    The job with the number `lifted` is read whole in any case, so that it can be moved.
    """
    session, opening = shop.session, shop.opening
    days = days_across(opening, first)
    promised = list_promised(session, opening, shop.day)
    away = list_absences(session, min(days[0], shop.day), shop.day + timedelta(days=AHEAD_DAYS))
    jobs = {job.id: job for job in _jobs(session, days, shop.day, [each.job_id for each in promised], lifted)}
    asked = [job for job in jobs.values() if is_open_promise(job) or job.number == lifted]
    wholes = whole_jobs(session, asked, with_damages=False)
    return BoardReading(shop, now, days, jobs, wholes, promised, away)


def _jobs(
    session: Session, days: Sequence[date], today: date, open_ids: Sequence[int], lifted: int | None
) -> list[Job]:
    """Every open job of the diary, whoever comes or goes on the days shown, and who was expected and has not come."""
    missed = and_(Job.drop_off_on.between(today - LONGEST_EXPECTED, today), Job.came_at.is_(None))
    asked = (
        select(Job)
        .where(
            or_(
                Job.id.in_(open_ids),
                Job.number == (lifted or 0),
                Job.drop_off_on.between(days[0], days[-1]),
                Job.handed_over_on.between(days[0], days[-1]),
                and_(missed, Job.settled_at.is_(None)),
            ),
            Job.called_off_at.is_(None),
            ~Job.is_sample,
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
        .order_by(Job.number)
    )
    return list(session.scalars(asked))


def board_of(seen: BoardReading) -> Board:
    """The board as the book stands, or as it would stand with a car moved; no statement."""
    shop, ahead = seen.shop, seen.ahead
    offered = {key: ahead.suggest(whole, seen.now) for key, whole in seen.wholes.items()}
    late = _late(seen, offered)
    sessions, rooms = _sessions(seen, offered), rooms_of(shop)
    small = _small_days(seen.days[0], shop.opening)
    there = _hours(seen, (*seen.days, *small))
    return Board(
        today=shop.day,
        days=seen.days,
        closed=_closed(seen),
        hours={day: there[day] for day in seen.days if day in there},
        away=_away(seen),
        rooms=tuple(rooms),
        cars=tuple(_at_places(seen, late, rooms)),
        late=late,
        late_jobs=tuple(sorted((seen.jobs[key] for key in late), key=_by_promise)),
        not_come=_not_come(seen),
        undated=tuple(filter(_is_undated, seen.jobs.values())),
        undated_minutes=sum(sum_undated(seen.promised).values()),
        sessions=sessions,
        clashes=overlapping(sessions, max(sum(room.is_spray_bay for room in rooms), 1)),
        small={day: there.get(day, ()) for day in small},
        counts={day: count_cars(seen.promised, day) for day in there},
    )


def _closed(seen: BoardReading) -> dict[date, str]:
    days = seen.shop.opening.closed_days(seen.days[0], seen.days[-1])
    return {day: seen.shop.closed.get(day, "") for day in days}


def _not_come(seen: BoardReading) -> tuple[Job, ...]:
    cars = ((job, _car_days(job, seen, None)) for job in seen.jobs.values())
    return tuple(job for job, days in cars if has_not_come(days, seen.now_slot))


def _late(seen: BoardReading, offered: Mapping[int, Suggestion]) -> dict[int, LateCar]:
    found = ((key, late_by(seen.wholes[key].job, each)) for key, each in offered.items())
    return {key: late for key, late in found if late is not None}


def _hours(seen: BoardReading, days: Iterable[date]) -> dict[date, tuple[SkillHours, ...]]:
    asked = sorted({day for day in days if day >= seen.shop.day})
    return hours_by_day(seen.shop, asked, sum_minutes(seen.promised), seen.away)


def _away(seen: BoardReading) -> tuple[Away, ...]:
    return tuple(row for row in seen.away if seen.days[0] <= row.absence.on <= seen.days[-1])


def _small_days(first: date, opening: OpeningHours) -> list[date]:
    monday = first - timedelta(days=first.weekday())
    return opening.working_days(monday, monday + timedelta(days=SMALL_DAYS - 1))


def _by_promise(job: Job) -> tuple[date, bool, int]:
    return (job.promise_on or date.max, job.promise_half != HalfDay.MORNING, job.number)


def _is_undated(job: Job) -> bool:
    """An approved job, or a car in the shop, that has no promised day yet."""
    is_over = any((job.settled_at, job.handed_over_at, job.ready_at))
    return job.promise_on is None and not is_over and bool(job.agreed_at or job.came_at)


def _sessions(seen: BoardReading, offered: Mapping[int, Suggestion]) -> tuple[SprayTime, ...]:
    """The sessions of every promised car as its plan is placed now, in order."""
    found: list[SprayTime] = []
    for key, each in offered.items():
        whole = seen.wholes[key]
        if each.promise is not None and is_open_promise(whole.job):
            codes = {str(stage.id): stage.code for stage in whole.stages}
            found.extend(sessions_of(whole.job.number, each.promise.stages, codes))
    return tuple(sorted(found, key=lambda one: (one.starts_at, one.number)))


def _at_places(seen: BoardReading, late: Mapping[int, LateCar], rooms: Sequence[PlaceRoom]) -> list[BoardCar]:
    """Every car that stands on one of the days shown, at its place or where it fits in; who is here comes first."""
    shown = sorted(_cars(seen, late), key=lambda car: (car.job.came_at is None, car.stay.begins))
    known = {room.id for room in rooms}
    standing = {car.job.id: (place, car.taken) for car in shown if (place := car.job.place_id) in known and place}
    comers = {car.job.id: car.taken for car in shown if car.job.id not in standing and not car.job.handed_over_at}
    placed = {key: place for key, (place, _) in standing.items()} | fit_in(rooms, standing, comers)
    return [replace(car, room_id=placed.get(car.job.id)) for car in shown]


def _cars(seen: BoardReading, late: Mapping[int, LateCar]) -> Iterator[BoardCar]:
    left = {each.job_id: each.left_minutes for each in seen.promised}
    slots = slots_of(seen.days)
    for job in seen.jobs.values():
        stay = stay_of(_car_days(job, seen, late.get(job.id)), seen.now_slot)
        taken = half_days_taken(stay, slots) if stay else frozenset()
        if stay and taken:
            yield BoardCar(job, stay, taken, late.get(job.id), left.get(job.id, 0), None)


def _car_days(job: Job, seen: BoardReading, late: LateCar | None) -> CarDays:
    opening = seen.shop.opening
    return CarDays(
        drop_off=half_or_none(job.drop_off_on, job.drop_off_half),
        told=half_or_none(job.promise_on, job.promise_half),
        ready_by=late.ready if late else None,
        came=slot_at(opening, job.came_at) if job.came_at else None,
        gone=slot_at(opening, job.handed_over_at) if job.handed_over_at else None,
        is_ready=job.ready_at is not None,
    )


def half_or_none(day: date | None, half: str) -> Half | None:
    """A half-day as a job keeps it, or None without a day."""
    return None if day is None else (day, half)

"""A person's day: when here, what is on cars, the gaps with their guesses, and the mixes of the day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from shopbook.models.floor import Attendance, ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.queries.floor.clocks import find_attendance, find_running
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.floor.day_guesses import Clues, Guess, Unclocked, Worked, guess_hole
from shopbook.trade.floor.hours import DaySheet, Interval, Placed, sum_day
from shopbook.trade.floor.words import OTHER_WORDS, STOPPED_AT_LUNCH, ClockWhat
from shopbook.trade.measures.locales import write_list


@dataclass(frozen=True, slots=True)
class PlacedShare:
    """The share of an entry that is on one stage."""

    stage_id: int
    job_id: int
    number: int
    name: str
    minutes: int


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """A stretch that is placed; `entry_id` is None for a clock that still runs."""

    interval: Interval
    entry_id: int | None
    what: ClockWhat
    note: str
    shares: tuple[PlacedShare, ...]
    reason: str = ""

    @property
    def words(self) -> str:
        """What was done, for a row without a job."""
        return OTHER_WORDS.get(self.what, "") + (f": {self.note}" if self.note and self.what in OTHER_WORDS else "")


@dataclass(frozen=True, slots=True)
class Hole:
    """A stretch that is not placed, and where it most likely belongs, the best guess first."""

    interval: Interval
    guesses: tuple[Guess, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A person's day: its totals in minutes, what is placed, the gaps, lunch, and when the person came and went."""

    person_id: int
    on: date
    sums: DaySheet
    rows: tuple[PlacedRow, ...]
    holes: tuple[Hole, ...]
    lunch: tuple[Interval, ...]
    came_at: datetime | None
    went_at: datetime | None

    @property
    def is_gone_assumed(self) -> bool:
        """Whether nobody pressed going home, so that the day is taken to closing or to now."""
        return self.came_at is not None and self.went_at is None


def get_day_sheet(session: Session, person_id: int, on: date, now: datetime, hours: OpeningHours | None = None) -> Day:
    """The day sheet of a person; a fixed number of statements. `hours` are the day's where they are read already."""
    hours = hours or opening_hours_on(session, on)
    attendance = find_attendance(session, person_id, on)
    entries = list_entries(session, on, on, person_id)
    stages = stages_named(session, [share.stage_id for entry in entries for share in entry.shares])
    rows = [_row(entry, stages) for entry in entries]
    rows += _running_rows(session, person_id, on, now)
    lunch = lunch_on(hours, on)
    here = _here(attendance, rows, hours, on, now)
    placed = [Placed(row.interval, row.what is ClockWhat.STAGE) for row in rows]
    sums = sum_day(here, _lunch_passed(lunch, here), placed)
    clues = _clues(session, person_id, on, rows, stages) if sums.holes else Clues()
    return Day(
        person_id=person_id,
        on=on,
        sums=sums,
        rows=tuple(rows),
        holes=tuple(Hole(hole, guess_hole(hole, clues)) for hole in sums.holes),
        lunch=tuple(lunch),
        came_at=attendance.came_at if attendance else None,
        went_at=attendance.went_at if attendance else None,
    )


def _running_rows(session: Session, person_id: int, on: date, now: datetime) -> list[PlacedRow]:
    """Of today, the stretch of the clock that runs for a person, up to now."""
    running = find_running(session, person_id) if day_of(session, now) == on else None
    if running is None or now <= running.started_at:
        return []
    named = stages_named(session, running.stage_ids)
    stages = [named[key] for key in running.stage_ids]
    shares = tuple(PlacedShare(each.id, each.job_id, each.number, each.name, 0) for each in stages)
    return [PlacedRow(Interval(running.started_at, now), None, ClockWhat(running.what), running.note, shares)]


@dataclass(frozen=True, slots=True)
class NamedStage:
    """A stage as a day sheet names it."""

    id: int
    name: str
    skill: str
    job_id: int
    number: int


def stages_named(session: Session, stage_ids: Sequence[int]) -> dict[int, NamedStage]:
    """Stages with the numbers of their jobs, by id; one statement."""
    wanted = set(stage_ids)
    if not wanted:
        return {}
    lines = session.execute(
        select(Stage.id, Stage.name, Stage.skill, Job.id, Job.number)
        .join(Job, Job.id == Stage.job_id)
        .where(Stage.id.in_(wanted))
    )
    return {key: NamedStage(key, name, skill, job_id, number) for key, name, skill, job_id, number in lines}


def here_on(
    attendance: Attendance | None, entries: Sequence[Interval], hours: OpeningHours, on: date, now: datetime
) -> list[Interval]:
    """When a person was here on a day, lunch not yet cut out.

    Nobody pressed going home: until closing, or now if that is sooner, or the last entry if that is later. Nobody
    wrote that the person came: while entries say so.
    """
    if attendance is None:
        return list(entries)
    if attendance.came_at is None:
        return []
    ends_at = attendance.went_at or _assumed_end(entries, hours, on, now)
    return [Interval(attendance.came_at, max(ends_at, attendance.came_at))]


def _assumed_end(entries: Sequence[Interval], hours: OpeningHours, on: date, now: datetime) -> datetime:
    stretches = hours.stretches_on(on)
    last = max((entry.ends_at for entry in entries), default=None)
    closes = stretches[-1][1] if stretches else (last or now)
    ends_at = min(closes, now)
    return max(ends_at, last) if last is not None else ends_at


def _here(
    attendance: Attendance | None, rows: Sequence[PlacedRow], hours: OpeningHours, on: date, now: datetime
) -> list[Interval]:
    return here_on(attendance, [row.interval for row in rows], hours, on, now)


def lunch_on(hours: OpeningHours, on: date) -> list[Interval]:
    """The shop's lunch on a day; none on a day without."""
    stretches = hours.stretches_on(on)
    return [Interval(stretches[0][1], stretches[1][0])] if len(stretches) == 2 else []


def _lunch_passed(lunch: Sequence[Interval], here: Sequence[Interval]) -> list[Interval]:
    """Lunch as far as the person was here for it; who came after it had none."""
    return [pause for pause in lunch if any(each.begins_at < pause.ends_at for each in here)]


def _row(entry: ClockEntry, stages: dict[int, NamedStage]) -> PlacedRow:
    shares = tuple(_share(share, stages) for share in entry.shares)
    return PlacedRow(
        Interval(entry.started_at, entry.stopped_at), entry.id, ClockWhat(entry.what), entry.note, shares, entry.reason
    )


def _share(share: ClockShare, stages: dict[int, NamedStage]) -> PlacedShare:
    stage = stages[share.stage_id]
    return PlacedShare(stage.id, stage.job_id, stage.number, stage.name, share.minutes)


def _clues(
    session: Session, person_id: int, on: date, rows: Sequence[PlacedRow], stages: dict[int, NamedStage]
) -> Clues:
    worked = [
        Worked(
            row.interval,
            tuple(share.stage_id for share in row.shares),
            write_list(list(dict.fromkeys(str(share.number) for share in row.shares))),
            write_list(list(dict.fromkeys(share.name for share in row.shares))),
            any(stages[share.stage_id].skill == "paint" for share in row.shares if share.stage_id in stages),
            row.reason == STOPPED_AT_LUNCH,
        )
        for row in rows
        if row.shares
    ]
    came = session.scalars(select(JobPart.came_at).where(JobPart.came_on == on, JobPart.came_at.is_not(None)))
    return Clues(worked, _unclocked(session, person_id, on), [moment for moment in came if moment is not None])


def _unclocked(session: Session, person_id: int, on: date) -> list[Unclocked]:
    """Stages that the person finished on the day and on which nobody ever clocked a minute."""
    begins = opening_hours_on(session, on).moment(on, datetime.min.time())
    clocked = select(ClockShare.id).where(ClockShare.stage_id == Stage.id, ClockShare.minutes != 0)
    lines = session.execute(
        select(Stage.finished_at, Stage.id, Job.number, Stage.name)
        .join(Job, Job.id == Stage.job_id)
        .where(Stage.finished_by_id == person_id, Stage.finished_at >= begins, ~clocked.exists())
        .order_by(Stage.finished_at, Stage.id)
    )
    return [
        Unclocked(at, key, str(number), name)
        for at, key, number, name in lines
        if at is not None and day_of(session, at) == on
    ]


@dataclass(frozen=True, slots=True)
class StageChoice:
    """A stage that a gap may be placed on: it was open, or worked on, that day."""

    stage_id: int
    words: str


def list_choices(session: Session, on: date) -> list[StageChoice]:
    """Stages of jobs that were in the shop's hands on a day, those not done by then first; two statements at most."""
    lines = session.execute(
        select(Stage.id, Stage.name, Job.number, Stage.finished_at)
        .join(Job, Job.id == Stage.job_id)
        .where(
            Stage.struck_at.is_(None),
            Job.opened_on <= on,
            or_(Job.handed_over_on.is_(None), Job.handed_over_on >= on),
            Job.called_off_at.is_(None),
            or_(Job.came_at.is_not(None), Job.begun_at.is_not(None)),
        )
        .order_by(Job.number, Stage.position)
    )
    found = [
        (done is not None and day_of(session, done) < on, StageChoice(key, f"{number} {name}"))
        for key, name, number, done in lines
    ]
    return [choice for is_old, choice in found if not is_old] + [choice for is_old, choice in found if is_old]

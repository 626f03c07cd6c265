"""How that which a press is about stands now: stages, a person's clock, a person's day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, RunningClock
from shopbook.models.jobs import Job, Stage
from shopbook.queries.floor.clocks import find_attendance, list_running, names_of
from shopbook.queries.floor.entries import list_entries


@dataclass(frozen=True, slots=True)
class StageStands:
    """A stage of a press with the number of its job, and who else works on it since when."""

    stage: Stage
    number: int
    others: tuple[str, ...]
    others_since: datetime | None


@dataclass(frozen=True, slots=True)
class FloorStands:
    """Some stages and the person's own clock; `clock_at` is when that clock was last written, started or stopped."""

    stages: tuple[StageStands, ...]
    runs_since: datetime | None
    clock_at: datetime | None


def floor_stands(session: Session, person_id: int, stage_ids: Sequence[int], on: date) -> FloorStands:
    """Stages and the person's clock as the book has them; four statements at most."""
    clocks = list_running(session)
    mine = next((clock.started_at for clock in clocks if clock.person_id == person_id), None)
    stopped: datetime | None = session.scalar(
        select(func.max(ClockEntry.stopped_at)).where(ClockEntry.person_id == person_id, ClockEntry.on == on)
    )
    others = [clock for clock in clocks if clock.person_id != person_id]
    names = names_of(session, {clock.person_id for clock in others})
    lines = session.execute(
        select(Stage, Job.number).join(Job, Job.id == Stage.job_id).where(Stage.id.in_(stage_ids)).order_by(Stage.id)
    )
    return FloorStands(
        tuple(_stage(stage, number, others, names) for stage, number in lines),
        mine,
        max((moment for moment in (mine, stopped) if moment is not None), default=None),
    )


def _stage(stage: Stage, number: int, others: Iterable[RunningClock], names: Mapping[int, str]) -> StageStands:
    there = [clock for clock in others if stage.id in clock.stage_ids]
    return StageStands(
        stage,
        number,
        others=tuple(sorted(names[clock.person_id] for clock in there)),
        others_since=max((clock.started_at for clock in there), default=None),
    )


@dataclass(frozen=True, slots=True)
class DayStands:
    """A person's day: how many entries stand in it, and when the person came and went."""

    entries: int
    came_at: datetime | None
    went_at: datetime | None


def day_stands(session: Session, person_id: int, on: date) -> DayStands:
    """A person's day as the book has it."""
    attendance = find_attendance(session, person_id, on)
    came, went = (attendance.came_at, attendance.went_at) if attendance else (None, None)
    return DayStands(len(list_entries(session, on, on, person_id)), came, went)

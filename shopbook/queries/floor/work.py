"""The technician's list: what runs, what can be worked on now in order of promise, what cannot yet and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.floor import RunningClock
from shopbook.models.jobs import Job
from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.queries.floor.clocks import find_attendance, find_clock_of
from shopbook.queries.floor.on_clock import paused_together
from shopbook.queries.floor.rows import WorkRow, work_rows
from shopbook.queries.floor.stage import DoneStage, list_done
from shopbook.queries.floor.windows import RunningWait
from shopbook.queries.jobs.whole import WholeJob, whole_jobs
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.permissions import Actor


@dataclass(frozen=True, slots=True)
class RunningWork:
    """The person's own clock: since when, on what, and its stages."""

    since_at: datetime
    what: str
    note: str
    rows: tuple[WorkRow, ...]


@dataclass(frozen=True, slots=True)
class Work:
    """The whole list for one person; `ready` by skill, the person's own first; each group in order of promise."""

    came_at: datetime | None
    running: RunningWork | None
    ready: Mapping[str, tuple[WorkRow, ...]]
    not_yet: tuple[WorkRow, ...]
    waits: tuple[RunningWait, ...] = field(default=())
    ended: tuple[RunningWait, ...] = field(default=())
    """What has dried since, until somebody presses Seen or starts what it opens."""
    paused: tuple[WorkRow, ...] = field(default=())
    """What the person last worked on together, of two cars or more, while no clock of theirs runs on a car."""
    done: tuple[DoneStage, ...] = field(default=())
    """What the person finished today, the newest first."""
    jobs: tuple[WholeJob, ...] = field(default=())
    """The cars that all this is about, each read whole, in order of promise."""


def list_work(session: Session, actor: Actor, now: datetime, floor: FloorNow | None = None) -> Work:
    """What a person can do now; a fixed number of statements, however many cars are in the shop.

    `floor` are the clocks and waits of that moment where they are read already.
    """
    floor = floor or floor_now(shop_at(session, now), now)
    shop, today = floor.shop, floor.shop.day
    jobs = _open_jobs(session, today)
    wholes = whole_jobs(session, jobs, with_uses=True)
    rows = work_rows(floor, wholes, actor)
    mine = find_clock_of(actor, floor.clocks)
    others = [row for row in rows if mine is None or row.stage_id not in mine.stage_ids]
    return Work(
        came_at=_here_since(session, actor, today),
        running=_running(mine, rows),
        ready=_by_skill(others, actor),
        not_yet=tuple(row for row in others if not row.readiness.could_be_clocked and row.is_next),
        waits=tuple(floor.running_waits),
        ended=tuple(floor.ended_waits),
        paused=_paused(floor, actor, mine, others),
        done=tuple(list_done(session, actor.person_id, shop.opening.moment(today, time.min), list(wholes))),
        jobs=tuple(wholes.values()),
    )


def _paused(floor: FloorNow, actor: Actor, mine: RunningClock | None, rows: Sequence[WorkRow]) -> tuple[WorkRow, ...]:
    """Rows that can go on together; none while a car is on the clock, or where less than two cars are left of them."""
    if mine is not None and mine.stage_ids:
        return ()
    keys = paused_together(floor.shop.session, actor.person_id, floor.shop.day)
    found = tuple(row for row in rows if row.stage_id in keys and row.readiness.could_be_clocked and not row.is_refused)
    return found if len({row.job_id for row in found}) > 1 else ()


def _here_since(session: Session, actor: Actor, today: date) -> datetime | None:
    attendance = None if actor.person_id is None else find_attendance(session, actor.person_id, today)
    return attendance.came_at if attendance and attendance.went_at is None else None


def _open_jobs(session: Session, today: date) -> list[Job]:
    """Cars that are in the shop, and those to come by today, or agreed to without a day; in order of promise."""
    asked = (
        select(Job)
        .where(
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            or_(
                Job.came_at.is_not(None),
                Job.begun_at.is_not(None),
                Job.drop_off_on <= today,
                and_(Job.agreed_at.is_not(None), Job.drop_off_on.is_(None)),
            ),
        )
        .options(joinedload(Job.vehicle))
    )
    return sorted(session.scalars(asked), key=_promise)


def _promise(job: Job) -> tuple[date, int, int]:
    halves = {HalfDay.MORNING.value: 0, HalfDay.AFTERNOON.value: 1}
    return (job.promise_on or date.max, halves.get(job.promise_half, 2), job.number)


def _running(clock: RunningClock | None, rows: Sequence[WorkRow]) -> RunningWork | None:
    if clock is None:
        return None
    own = tuple(row for row in rows if row.stage_id in clock.stage_ids)
    return RunningWork(clock.started_at, clock.what, clock.note, own)


def _by_skill(rows: Sequence[WorkRow], actor: Actor) -> dict[str, tuple[WorkRow, ...]]:
    """What of it could be clocked."""
    order = sorted(Skill, key=lambda skill: skill not in actor.skills)
    can = [row for row in rows if row.readiness.could_be_clocked]
    found = {skill.value: tuple(row for row in can if row.skill == skill) for skill in order}
    return {skill: group for skill, group in found.items() if group}

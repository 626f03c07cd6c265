"""The technician's list: what runs, what can be worked on now in order of promise, what cannot yet and why."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from datetime import date, datetime, time

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.floor import RunningClock
from shopbook.models.jobs import Damage, Job, Stage
from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.queries.floor.cars import car_line
from shopbook.queries.floor.clocks import find_attendance, find_clock_of
from shopbook.queries.floor.entries import StageTime, time_by_stage
from shopbook.queries.floor.on_clock import paused_together
from shopbook.queries.floor.stage import DoneStage, list_done, ready_after
from shopbook.queries.floor.windows import RunningWait
from shopbook.queries.jobs.coats import PanelSign, job_coats
from shopbook.queries.jobs.damage import damages_of
from shopbook.queries.jobs.mixes import pourings_of
from shopbook.queries.jobs.plans import readiness_among, stages_of, without_struck
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.coating.mixing import say_ml
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.floor.readiness import Hold, Readiness
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One stage as the list shows it.

    `sign` is the first of its panels; `uses` what it is done with, in a few words; `others` who works on it now and
    `begun_by` who did before; `wait` the time after what came before it.
    """

    stage_id: int
    job_id: int
    number: int
    name: str
    code: str
    skill: str
    purpose: str
    planned_minutes: int
    used_minutes: int
    panels: tuple[str, ...]
    car: str
    place: str
    key_number: str
    hex: str
    sign: PanelSign | None
    uses: str
    promise_on: date | None
    promise_half: str
    drop_off_on: date | None
    drop_off_half: str
    readiness: Readiness
    wait: RunningWait | None = None
    others: tuple[str, ...] = ()
    begun_by: str = ""
    is_refused: bool = False
    """The shop is strict and the approval is missing."""
    is_next: bool = False
    """All that comes before it was begun."""
    next_at: datetime | None = None
    """On the person's own clock: when what follows may begin if this is done as planned; None where nothing dries."""

    @property
    def is_here(self) -> bool:
        """Whether the car has come."""
        return Hold.NOT_HERE not in self.readiness.holds


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


def list_work(session: Session, actor: Actor, now: datetime, floor: FloorNow | None = None) -> Work:
    """What a person can do now; a fixed number of statements, however many cars are in the shop.

    `floor` are the clocks and waits of that moment where they are read already.
    """
    floor = floor or floor_now(shop_at(session, now), now)
    shop, today = floor.shop, floor.shop.day
    jobs = _open_jobs(session, today)
    rows = _rows(floor, jobs, actor)
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
        done=tuple(list_done(session, actor.person_id, shop.opening.moment(today, time.min), [job.id for job in jobs])),
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


def _rows(floor: FloorNow, jobs: Sequence[Job], actor: Actor) -> list[WorkRow]:
    shop, session, now = floor.shop, floor.shop.session, floor.moment
    keys = [job.id for job in jobs]
    mine = find_clock_of(actor, floor.clocks)
    planned = stages_of(session, keys, with_struck=True)
    stages = without_struck(planned)
    frame = _Frame(
        readiness=readiness_among(session, {job.id: job for job in jobs}, planned, now),
        damages=damages_of(session, keys),
        catalogue=shop.catalogue,
        places=shop.place_names,
        times=time_by_stage(session, keys),
        on_clock=_on_clock(floor, actor),
        waits=floor.waits,
        is_strict=bool(shop.settings[SettingName.STRICT_APPROVAL]),
        now=now,
        mine=frozenset(mine.stage_ids if mine else ()),
        mine_since_at=mine.started_at if mine else None,
    )
    return [row for job in jobs for row in _job_rows(job, stages.get(job.id, []), frame)]


@dataclass(frozen=True, slots=True)
class _Frame:
    readiness: Mapping[int, Readiness]
    damages: Mapping[int, list[Damage]]
    catalogue: Catalogue
    places: Mapping[int, str]
    times: Mapping[int, list[StageTime]]
    on_clock: Mapping[int, tuple[str, ...]]
    waits: Sequence[RunningWait]
    is_strict: bool
    now: datetime
    mine: Set[int]
    mine_since_at: datetime | None

    def last_wait_before(self, stage: Stage) -> RunningWait | None:
        """The last to end of the waits of the coats that a stage works on."""
        waits = [wait for wait in self.waits if stage.id in wait.follower_ids]
        return max(waits, key=lambda wait: wait.ready_at, default=None)


def _on_clock(floor: FloorNow, actor: Actor) -> dict[int, tuple[str, ...]]:
    others = [clock for clock in floor.clocks if clock.person_id != actor.person_id]
    names = floor.shop.person_names if others else {}
    found: dict[int, tuple[str, ...]] = {}
    for clock in others:
        for stage_id in clock.stage_ids:
            found[stage_id] = (*found.get(stage_id, ()), names.get(clock.person_id, ""))
    return found


def _job_rows(job: Job, stages: Sequence[Stage], frame: _Frame) -> list[WorkRow]:
    signs = {
        sign.panel: sign
        for sign in job_coats(stages, frame.damages.get(job.id, []), frame.catalogue, frame.now, job.colour_hex)
    }
    idle = {stage.id for stage in stages if stage.is_idle}
    return [_row(job, stage, signs, frame, idle) for stage in stages if stage.finished_at is None]


def _row(job: Job, stage: Stage, signs: Mapping[str, PanelSign], frame: _Frame, idle: Set[int]) -> WorkRow:
    ready = frame.readiness[stage.id]
    panels = stage.panel_names
    times = frame.times.get(stage.id, [])
    used = sum(each.minutes for each in times)
    others = frame.on_clock.get(stage.id, ())
    return WorkRow(
        stage_id=stage.id,
        job_id=job.id,
        number=job.number,
        name=stage.name,
        code=stage.code,
        skill=stage.skill,
        purpose=stage.purpose,
        planned_minutes=stage.planned_minutes,
        used_minutes=used,
        panels=panels,
        car=car_line(job),
        place=frame.places.get(job.place_id or 0, ""),
        key_number=job.key_number,
        hex=job.colour_hex,
        sign=next((signs[panel] for panel in panels if panel in signs), next(iter(signs.values()), None)),
        uses=say_uses(stage),
        promise_on=job.promise_on,
        promise_half=job.promise_half,
        drop_off_on=job.drop_off_on,
        drop_off_half=job.drop_off_half,
        readiness=ready,
        wait=frame.last_wait_before(stage),
        others=others,
        begun_by=times[0].person if times and not others else "",
        is_refused=frame.is_strict and ready.is_not_approved,
        next_at=ready_after(stage, frame.mine_since_at, used) if stage.id in frame.mine else None,
        is_next=not any(each.after_id in idle for each in stage.after),
    )


def say_uses(stage: Stage) -> str:
    """What a stage is done with, in a few words: its mixes ("260 ml primer 4:1:1"), else its grits, else a step."""
    pourings = pourings_of(stage)
    poured = [
        f"{say_ml(pouring.total_thousandths)} {each['name'].lower()} {pouring.true_ratio.replace(' ', '')}".strip()
        for each in stage.mixes
        if (pouring := pourings.get(each.get("code")))
    ]
    if poured:
        return ", ".join(poured)
    grits = [use.role.removeprefix("disc_").upper() for use in stage.uses if use.role.startswith("disc_p")]
    if grits:
        return ", ".join(grits)
    steps = stage.steps
    return str(steps[0]) if steps else ""


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

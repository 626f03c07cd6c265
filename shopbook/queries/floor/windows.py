"""Waits on the floor: those that run, the windows that will close, and those that have."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job, Stage, StageAfter

LONGEST_WAIT = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class RunningWait:
    """The time after a finished stage: from when work may go on, until when it must (None: no limit)."""

    job_id: int
    number: int
    stage_id: int
    stage: str
    kind: str
    since_at: datetime
    ready_at: datetime
    shuts_at: datetime | None
    reason: str
    next_stage: str

    def is_over(self, now: datetime) -> bool:
        """Whether work may go on."""
        return self.ready_at <= now


def list_running_waits(session: Session, now: datetime) -> list[RunningWait]:
    """Waits of cars in the shop that run, or are over while what follows was not begun, the soonest first.

    One statement; of several stages that follow the first in the plan is named.
    """
    waits = [_wait(stage, followers[0].name, number) for stage, number, followers in _finished(session, now)]
    return sorted(waits, key=lambda wait: (wait.ready_at, wait.stage_id))


def list_passed_windows(session: Session, now: datetime) -> list[int]:
    """Ids of finished stages whose window closed before what follows was begun, and that ask for a stage then.

    Where that stage stands behind it already, nothing is asked for any more. One statement.
    """
    return [
        stage.id
        for stage, number, followers in _finished(session, now)
        if stage.adds_stage
        and (shuts_at := _wait(stage, "", number).shuts_at) is not None
        and shuts_at < now
        and all(each.code != stage.adds_stage for each in followers)
    ]


@dataclass(frozen=True, slots=True)
class _Follower:
    name: str
    code: str


def _finished(session: Session, now: datetime) -> list[tuple[Stage, int, list[_Follower]]]:
    """Finished stages with a wait or a window, their job's number, and what follows and was not begun."""
    session.flush()
    after = aliased(Stage)
    lines = session.execute(
        select(Stage, Job.number, after.name, after.code)
        .join(Job, Job.id == Stage.job_id)
        .join(StageAfter, StageAfter.after_id == Stage.id)
        .join(after, after.id == StageAfter.stage_id)
        .where(
            Stage.struck_at.is_(None),
            Stage.finished_at.is_not(None),
            Stage.finished_at > now - LONGEST_WAIT,
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            after.struck_at.is_(None),
            after.begun_at.is_(None),
            after.finished_at.is_(None),
            or_(Stage.not_before_minutes > 0, Stage.not_after_minutes.is_not(None)),
        )
        .order_by(Stage.id, after.position)
    )
    found: dict[int, tuple[Stage, int, list[_Follower]]] = {}
    for stage, number, name, code in lines:
        found.setdefault(stage.id, (stage, number, []))[2].append(_Follower(name, code))
    return list(found.values())


def _wait(stage: Stage, next_stage: str, number: int) -> RunningWait:
    assert stage.finished_at is not None
    shuts = None
    if stage.not_after_minutes is not None:
        shuts = stage.finished_at + timedelta(minutes=stage.not_after_minutes)
    return RunningWait(
        job_id=stage.job_id,
        number=number,
        stage_id=stage.id,
        stage=stage.name,
        kind=stage.wait_kind,
        since_at=stage.finished_at,
        ready_at=stage.finished_at + timedelta(minutes=stage.not_before_minutes),
        shuts_at=shuts,
        reason=stage.wait_reason,
        next_stage=next_stage,
    )

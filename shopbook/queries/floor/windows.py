"""Drying and recoat windows on the floor: those that run, windows that will close, and those that have closed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageAfter
from shopbook.trade.floor.readiness import followers_of

LONGEST_WAIT = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class RunningWait:
    """The time after a finished stage: when work may continue, and by when it must (None: no limit)."""

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
    follower_ids: tuple[int, ...]
    """The stages that come directly after it, begun or not."""

    def is_over(self, now: datetime) -> bool:
        """Whether work may continue."""
        return self.ready_at <= now


@dataclass(frozen=True, slots=True)
class FollowedWait:
    """A wait, the code of the stage that its window adds ("" for none), and the codes that were not begun behind it."""

    wait: RunningWait
    adds: str
    next_codes: frozenset[str]


def running_among(followed: Iterable[FollowedWait]) -> list[RunningWait]:
    """The same of what is read already; no statement."""
    return sorted((each.wait for each in followed), key=lambda wait: (wait.ready_at, wait.stage_id))


def list_passed_windows(session: Session, now: datetime) -> list[int]:
    """Ids of finished stages whose window closed before the next one was started, and that then need another stage.

    Where that stage follows it already, nothing more is needed. Two statements.
    """
    return passed_among(list_followed(session, now), now)


def passed_among(followed: Iterable[FollowedWait], now: datetime) -> list[int]:
    """The same of what is read already; no statement."""
    windows = [each for each in followed if each.adds and each.adds not in each.next_codes]
    return [each.wait.stage_id for each in windows if each.wait.shuts_at is not None and each.wait.shuts_at < now]


def list_followed(session: Session, now: datetime) -> list[FollowedWait]:
    """Waits and windows with something behind them that was not begun; two statements."""
    session.flush()
    lines = session.execute(
        select(Stage, Job.number)
        .join(Job, Job.id == Stage.job_id)
        .where(
            Stage.struck_at.is_(None),
            Stage.finished_at.is_not(None),
            Stage.finished_at > now - LONGEST_WAIT,
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            or_(Stage.not_before_minutes > 0, Stage.not_after_minutes.is_not(None)),
        )
        .order_by(Stage.id)
    ).all()
    stages, befores = _plans_of(session, {stage.job_id for stage, _ in lines})
    struck = {stage.id for stage in stages.values() if stage.struck_at is not None}
    found = []
    for stage, number in lines:
        follower_ids = followers_of(stage.id, befores, struck)
        is_open = [stages[key] for key in follower_ids if stages[key].is_idle]
        if is_open:
            wait = _wait(stage, number, is_open[0].name, tuple(follower_ids))
            found.append(FollowedWait(wait, stage.adds_stage, frozenset(each.code for each in is_open)))
    return found


def _plans_of(session: Session, job_ids: set[int]) -> tuple[dict[int, Stage], dict[int, set[int]]]:
    """The stages of jobs by id, removed or not, and what each comes after, in the plan's order."""
    asked = select(Stage, StageAfter.after_id).join(StageAfter, StageAfter.stage_id == Stage.id)
    stages: dict[int, Stage] = {}
    befores: dict[int, set[int]] = {}
    for stage, after_id in session.execute(asked.where(Stage.job_id.in_(job_ids)).order_by(Stage.position, Stage.id)):
        stages[stage.id] = stage
        befores.setdefault(stage.id, set()).add(after_id)
    return stages, befores


def _wait(stage: Stage, number: int, next_stage: str, follower_ids: tuple[int, ...]) -> RunningWait:
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
        follower_ids=follower_ids,
    )

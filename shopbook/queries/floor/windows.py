"""Drying and recoat windows on the floor: those that run, windows that will close, and those that have closed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job, Stage, StageWait
from shopbook.queries.jobs.plans import layer_of
from shopbook.trade.floor.coat_waits import Layer, PassedWindow, SatOut, Touch, asked_of, windows_among

LONGEST_WAIT = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class RunningWait:
    """The time after a coat that is laid: when work may continue, and by when it must (None: no limit)."""

    job_id: int
    number: int
    stage_id: int
    """The stage that laid the coat."""
    stage: str
    kind: str
    since_at: datetime
    ready_at: datetime
    shuts_at: datetime | None
    reason: str
    next_stage: str
    follower_ids: tuple[int, ...]
    """The stages that ask this of the coat, begun or not."""
    is_answered: bool = False
    """It is over, and somebody pressed Seen since or started what it opens."""

    def is_over(self, now: datetime) -> bool:
        """Whether work may continue."""
        return self.ready_at <= now


@dataclass(frozen=True, slots=True)
class FloorWaits:
    """All that dries in the shop at a moment, and the windows that have passed with nothing put in yet."""

    waits: tuple[RunningWait, ...]
    passed: tuple[PassedWindow, ...]


def list_passed_windows(session: Session, now: datetime) -> list[PassedWindow]:
    """Windows that closed before the next coat was started, and that then need another stage first.

    Where that stage stands before it already, nothing more is needed. One statement.
    """
    return list(read_waits(session, now).passed)


def read_waits(session: Session, now: datetime) -> FloorWaits:
    """Waits and windows of the coats that were laid, with something that asks for them and was not begun.

    One statement: the plans of cars on which something dries.
    """
    session.flush()
    lines = session.execute(_PLANS, {"since": now - LONGEST_WAIT}, execution_options={"populate_existing": True})
    waits: list[RunningWait] = []
    passed: list[PassedWindow] = []
    for number, plan in groupby(lines.unique().all(), key=lambda line: line.number):
        stages = [line.Stage for line in plan]
        layers = [layer_of(stage) for stage in stages]
        for stage, layer in zip(stages, layers, strict=True):
            if stage.struck_at is None and stage.is_idle:
                passed += _passed(layer, layers, now)
        waits += _waits(number, stages, layers, now)
    return FloorWaits(tuple(sorted(waits, key=lambda wait: (wait.ready_at, wait.stage_id))), tuple(passed))


_DRYING = (
    select(Stage.job_id)
    .join(StageWait, StageWait.stage_id == Stage.id)
    .join(Job, Job.id == Stage.job_id)
    .where(
        Stage.struck_at.is_(None),
        Stage.finished_at > bindparam("since"),
        ~StageWait.is_inside,
        Job.handed_over_at.is_(None),
        Job.called_off_at.is_(None),
    )
)
_PLANS = (
    select(Stage, Job.number)
    .join(Job, Job.id == Stage.job_id)
    .where(Stage.job_id.in_(_DRYING))
    .options(joinedload(Stage.waits), joinedload(Stage.panels))
    .order_by(Job.number, Stage.position, Stage.id)
)


def _passed(layer: Layer, layers: Sequence[Layer], now: datetime) -> list[PassedWindow]:
    """The first window that shut before a stage; none once what it asks for stands between the coat and the stage."""
    bound = windows_among(asked_of(layer, layers), layer, layers)
    shut = [each for each in bound if each.wait.closes and each.shuts_at is not None and each.shuts_at < now]
    return [PassedWindow(layer.id, each.layer.id, each.wait.adds) for each in shut[:1]]


@dataclass(frozen=True, slots=True)
class _Asking:
    """A stage that asks something of a coat that is laid, and whether its window binds it."""

    stage: Stage
    asked: SatOut
    is_bound: bool


def _waits(number: int, stages: Sequence[Stage], layers: Sequence[Layer], now: datetime) -> Iterator[RunningWait]:
    """One for each coat and what it opens; one that is over only for what the coat opens first."""
    by_id = {stage.id: stage for stage in stages}
    told: set[int] = set()
    for (layer_id, _), asking in _asked(stages, layers, now).items():
        idle = _idle(asking)
        last = max(asking, key=lambda each: (each.asked.ready_at or now, each.is_bound))
        is_running = (last.asked.ready_at or now) > now
        if idle and (is_running or layer_id not in told):
            told.add(layer_id)
            wait = _wait(number, by_id[layer_id], idle[0], last, tuple(dict.fromkeys(each.stage.id for each in asking)))
            is_answered = not is_running and _is_answered(wait, last.asked, stages, layers)
            yield replace(wait, is_answered=is_answered)


def _is_answered(wait: RunningWait, ended: SatOut, stages: Sequence[Stage], layers: Sequence[Layer]) -> bool:
    """Whether somebody pressed Seen after it ended, or started one of the stages that ask it, done by now or not."""
    by_id = {stage.id: stage for stage in stages}
    seen_at = by_id[wait.stage_id].dry_seen_at
    if seen_at is not None and seen_at >= wait.ready_at:
        return True
    begun = (layer for layer in layers if (by_id[layer.id].begun_at or wait.since_at) >= wait.ready_at)
    return any(_asks(layer, wait.stage_id, ended, layers) for layer in begun if not layer.is_struck)


def _asks(layer: Layer, stage_id: int, ended: SatOut, layers: Sequence[Layer]) -> bool:
    asked = asked_of(layer, layers)
    return any(each.layer.id == stage_id and each.wait.opens is ended.wait.opens for each in asked)


def _idle(asking: Sequence[_Asking]) -> list[Stage]:
    return [each.stage for each in asking if each.stage.is_idle]


def _asked(stages: Sequence[Stage], layers: Sequence[Layer], now: datetime) -> dict[tuple[int, Touch], list[_Asking]]:
    """What stages that are not done ask of coats that are laid, by the stage that laid them and what they open."""
    found: dict[tuple[int, Touch], list[_Asking]] = {}
    for stage, layer in zip(stages, layers, strict=True):
        own = [] if stage.is_over else asked_of(layer, layers)
        bound = windows_among(own, layer, layers)
        for each in own:
            laid_at = each.layer.finished_at
            if laid_at is not None and laid_at > now - LONGEST_WAIT:
                found.setdefault((each.layer.id, each.wait.opens), []).append(_Asking(stage, each, each in bound))
    return found


def _wait(number: int, laid: Stage, follower: Stage, asking: _Asking, follower_ids: tuple[int, ...]) -> RunningWait:
    asked = asking.asked
    assert laid.finished_at is not None
    assert asked.ready_at is not None
    return RunningWait(
        job_id=laid.job_id,
        number=number,
        stage_id=laid.id,
        stage=laid.name,
        kind=asked.wait.kind,
        since_at=laid.finished_at,
        ready_at=asked.ready_at,
        shuts_at=asked.shuts_at if asking.is_bound and asked.wait.closes else None,
        reason=asked.wait.reason,
        next_stage=follower.name,
        follower_ids=follower_ids,
    )

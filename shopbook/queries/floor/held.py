"""What holds one stage: the wait before it with its end, reason and window, and what can be worked meanwhile."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.queries.floor.windows import RunningWait, list_running_waits
from shopbook.queries.floor.work import Work, WorkRow, list_work
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.floor.readiness import Hold, Readiness
from shopbook.trade.permissions import Actor

MOST_MEANWHILE = 3


@dataclass(frozen=True, slots=True)
class Held:
    """The times around one stage.

    `before` is the wait that runs, or ran, up to it, the last to end; `until` the moment it may begin, None when no
    wait runs. `after` is the wait behind it once it is done. `comes_first` names the stage that a window adds when it
    is let pass. `meanwhile` are other stages that the person can begin now, those of the same car first.
    """

    before: RunningWait | None
    until: datetime | None
    after: RunningWait | None
    comes_first: str
    meanwhile: tuple[WorkRow, ...]


def _around(stage: Stage, waits: Sequence[RunningWait]) -> tuple[RunningWait | None, RunningWait | None]:
    """The wait up to a stage that is the last to end, and the one behind it."""
    before = max((wait for wait in waits if stage.id in wait.follower_ids), key=_ready_at, default=None)
    return before, next((wait for wait in waits if wait.stage_id == stage.id), None)


def find_held(session: Session, actor: Actor, stage: Stage, readiness: Readiness | None, now: datetime) -> Held:
    """What one stage waits for by time, and what else can be done; a fixed number of statements."""
    waits = [wait for wait in list_running_waits(session, now) if wait.job_id == stage.job_id]
    before, after = _around(stage, waits)
    if readiness is None:
        return Held(before=None, until=None, after=after, comes_first="", meanwhile=())
    is_idle = stage.finished_at is None and stage.struck_at is None
    adds = catalogue_on(session, day_of(session, now)).stages.get(readiness.adds_stage)
    is_kept = is_idle and not readiness.could_be_clocked
    return Held(
        before=before if is_idle else None,
        until=readiness.ready_at if Hold.WAIT in readiness.holds else None,
        after=after,
        comes_first=adds.name if adds else "",
        meanwhile=_meanwhile(list_work(session, actor, now), actor, stage) if is_kept else (),
    )


def _ready_at(wait: RunningWait) -> datetime:
    return wait.ready_at


def _meanwhile(work: Work, actor: Actor, stage: Stage) -> tuple[WorkRow, ...]:
    """What the person's own skills can begin, else what anybody can; it is in the order of promise already."""
    ready = [row for rows in work.ready.values() for row in rows if not row.is_refused]
    rows = [row for row in ready if row.skill in actor.skills] or ready
    return tuple(sorted(rows, key=lambda row: row.job_id != stage.job_id)[:MOST_MEANWHILE])

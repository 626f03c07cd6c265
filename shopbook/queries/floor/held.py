"""What holds one stage: the drying before it with its end, reason and window, and what can be done meanwhile."""

from dataclasses import dataclass, replace
from datetime import datetime
from operator import attrgetter

from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.queries.floor.rows import WorkRow
from shopbook.queries.floor.windows import RunningWait
from shopbook.queries.floor.work import Work, list_work
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.floor.readiness import Readiness
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


def find_held(
    session: Session,
    actor: Actor,
    stage: Stage,
    readiness: Readiness | None,
    now: datetime,
    floor: FloorNow | None = None,
) -> Held:
    """What one stage waits for by time, and what else can be done; a fixed number of statements.

    `floor` are the clocks and waits of that moment where they are read already.
    """
    floor = floor or floor_now(shop_at(session, now), now)
    waits = floor.waits_of(stage.job_id)
    after = next((wait for wait in waits if wait.stage_id == stage.id), None)
    if readiness is None:
        return Held(None, None, after, "", ())
    adds = floor.shop.catalogue.stages.get(readiness.adds_stage)
    held = Held(None, readiness.waits_until, after, adds.name if adds else "", ())
    if stage.is_over:
        return held
    before = max((wait for wait in waits if stage.id in wait.follower_ids), key=attrgetter("ready_at"), default=None)
    if readiness.could_be_clocked:
        return replace(held, before=before)
    return replace(held, before=before, meanwhile=_meanwhile(list_work(session, actor, now, floor), actor, stage))


def _meanwhile(work: Work, actor: Actor, stage: Stage) -> tuple[WorkRow, ...]:
    """What the person's own skills can begin, else what anybody can; it is in the order of promise already."""
    ready = [row for rows in work.ready.values() for row in rows if not row.is_refused]
    rows = [row for row in ready if row.skill in actor.skills] or ready
    return tuple(sorted(rows, key=lambda row: row.job_id != stage.job_id)[:MOST_MEANWHILE])

"""The cars that a person's own clock runs on, and those that it stood on together before it was paused."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.floor import RunningClock
from shopbook.queries.floor.day import NamedStage, stages_named
from shopbook.queries.floor.entries import list_entries


@dataclass(frozen=True, slots=True)
class OnClock:
    """The stages that a person's clock runs on; none while it is stopped, or runs on something that is no car."""

    stages: tuple[NamedStage, ...] = ()

    def besides(self, *job_ids: int) -> tuple[NamedStage, ...]:
        """Those of other cars than these: a start on these has to say whether they are left or kept."""
        return tuple(stage for stage in self.stages if stage.job_id not in job_ids)


def on_clock(session: Session, clock: RunningClock | None) -> OnClock:
    """What a clock runs on; one statement, none for a clock that is stopped."""
    return OnClock(tuple(stages_named(session, clock.stage_ids).values()) if clock else ())


def paused_together(session: Session, person_id: int | None, on: date) -> Collection[int]:
    """Ids of the stages of two cars or more that the person's clock of that day last stood on; none after one car.

    Cleaning or a call in between changes nothing, and it is the same whether the clock was paused or stopped by itself.
    Two statements.
    """
    if person_id is None:
        return ()
    worked = [entry for entry in list_entries(session, on, on, person_id) if entry.shares]
    last = max(worked, key=lambda entry: (entry.stopped_at, entry.id), default=None)
    if last is None or len({share.job_id for share in last.shares}) < 2:
        return ()
    return {share.stage_id for share in last.shares}

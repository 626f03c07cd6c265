"""The drying time of a stage typed by hand: it becomes the wait of the coats that the stage lays."""

from sqlalchemy import insert
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage, StageWait
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.jobs.writing import wait_row
from shopbook.trade.floor.coat_waits import WHOLE_CAR, CoatWait, Touch
from shopbook.trade.planning.coat_rows import OTHER

_HARDNESS = tuple(Touch)


def set_wait(session: Session, stage: Stage, minutes: int) -> None:
    """Let the longest wait of a stage's coats last so many minutes, and none of theirs longer.

    A stage that lays nothing lets what it put on dry, on its panels or the whole car. The stage is loaded again.
    """
    if minutes == stage.not_before_minutes:
        return
    after = [each for each in stage.waits if not each.is_inside]
    # Of several as long, the hardest: 16 h until polish typed as 4 and then as 8 are 8 until polish, not until trim.
    ordered = sorted(after, key=lambda each: (each.not_before_minutes, _HARDNESS.index(Touch(each.opens))))
    opens = ordered[-1].opens if ordered else ""
    for each in after:
        each.not_before_minutes = minutes if each.opens == opens else min(each.not_before_minutes, minutes)
    if not after:
        _add_wait(session, stage, minutes)
    # Written first: the plan's page and its version read the rows anew.
    session.flush()
    get_stage(session, stage.id)


def _add_wait(session: Session, stage: Stage, minutes: int) -> None:
    panels = stage.panel_names or (WHOLE_CAR,)
    waits = [CoatWait(panel, OTHER, Touch.SAND, not_before_minutes=minutes) for panel in panels]
    session.execute(insert(StageWait), [wait_row(stage.id, wait) for wait in waits])

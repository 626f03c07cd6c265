"""The drying time of a stage typed by hand: it becomes the wait of the coats that the stage lays."""

from sqlalchemy import insert
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage, StageWait
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.jobs.writing import wait_row
from shopbook.trade.floor.coat_waits import WHOLE_CAR, CoatWait, Touch
from shopbook.trade.planning.coat_rows import OTHER


def set_wait(session: Session, stage: Stage, minutes: int) -> None:
    """Let the longest wait of a stage's coats last so many minutes, and none of theirs longer.

    A stage that lays nothing lets what it put on dry, on its panels or the whole car. The stage is loaded again.
    """
    last = stage.last_wait
    if minutes == (last.not_before_minutes if last else 0):
        return
    after = [each for each in stage.waits if not each.is_inside]
    for each in after:
        is_last = last is not None and each.opens == last.opens
        each.not_before_minutes = minutes if is_last else min(each.not_before_minutes, minutes)
    if not after:
        rows = [
            wait_row(stage.id, CoatWait(panel, OTHER, Touch.SAND, not_before_minutes=minutes))
            for panel in stage.panel_names or (WHOLE_CAR,)
        ]
        session.execute(insert(StageWait), rows)
    # The plan's page and its version read the rows anew.
    get_stage(session, stage.id)

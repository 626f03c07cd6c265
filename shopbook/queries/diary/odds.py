"""Planned and clocked hours of the cars that left last: what the odds of a promise rest on."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Job, Stage
from shopbook.trade.purposes import JobPurpose, StagePurpose

LAST_CARS = 60
"""Older ones were done by other people to other standards."""


def list_car_hours(session: Session) -> list[tuple[int, int]]:
    """(planned, clocked) minutes of each of the last cars, over those of its stages that somebody was clocked on.

    A car on which most planned hours were done without a clock says nothing and is left out. One statement.
    """
    last = (
        select(Job.id)
        .where(Job.handed_over_at.is_not(None), Job.purpose == JobPurpose.PAID, ~Job.is_sample)
        .order_by(Job.handed_over_at.desc(), Job.id.desc())
        .limit(LAST_CARS)
    )
    stages = session.execute(
        select(Stage.job_id, Stage.planned_minutes, func.coalesce(func.sum(ClockShare.minutes), 0))
        .outerjoin(ClockShare, ClockShare.stage_id == Stage.id)
        .where(
            Stage.job_id.in_(last),
            Stage.struck_at.is_(None),
            Stage.purpose == StagePurpose.PLAN,
            Stage.planned_minutes > 0,
        )
        .group_by(Stage.id, Stage.job_id, Stage.planned_minutes)
        .order_by(Stage.job_id)
    )
    whole: dict[int, int] = {}
    found: dict[int, tuple[int, int]] = {}
    for job_id, planned, clocked in stages:
        whole[job_id] = whole.get(job_id, 0) + planned
        if clocked > 0:
            before = found.get(job_id, (0, 0))
            found[job_id] = (before[0] + planned, before[1] + int(clocked))
    return [each for job_id, each in found.items() if 2 * each[0] > whole[job_id]]

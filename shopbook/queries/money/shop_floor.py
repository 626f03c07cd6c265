"""What was opened for the shop floor, spread over the jobs of its month by their hours."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.shelf import Movement
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.trade.days import month_bounds, month_of
from shopbook.trade.margin import spread_floor


def floor_shares(session: Session, job_ids: Collection[int], last: date = date.max) -> dict[int, int]:
    """What these jobs carry of the months in which a clock ran on them up to a day, in minor units by job.

    Three statements, whatever the number of jobs.
    """
    asked = (
        select(func.min(ClockEntry.on), func.max(ClockEntry.on))
        .join(ClockShare, ClockShare.entry_id == ClockEntry.id)
        .where(ClockShare.job_id.in_(job_ids), ClockEntry.on <= last)
    )
    earliest, latest = session.execute(asked).one()
    if earliest is None:
        return {}
    carried = floor_spread(session, month_bounds(month_of(earliest))[0], month_bounds(month_of(latest))[1])
    return {job_id: carried[job_id] for job_id in job_ids if job_id in carried}


def floor_spread(session: Session, first: date, last: date) -> dict[int, int]:
    """What every job carries of the whole months from `first` to `last`, in minor units by job; two statements."""
    opened: dict[str, int] = defaultdict(int)
    for day, value in session.execute(
        select(Movement.on, -func.sum(Movement.value_minor))
        .where(Movement.on.between(first, last), Movement.kind.in_(STAGE_KINDS), Movement.job_id.is_(None))
        .group_by(Movement.on)
    ):
        opened[month_of(day)] += int(value)
    minutes: dict[str, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for day, job_id, worked in session.execute(
        select(ClockEntry.on, ClockShare.job_id, func.sum(ClockShare.minutes))
        .join(ClockShare, ClockShare.entry_id == ClockEntry.id)
        .where(ClockEntry.on.between(first, last))
        .group_by(ClockEntry.on, ClockShare.job_id)
    ):
        minutes[month_of(day)][job_id] += int(worked)
    carried: dict[int, int] = defaultdict(int)
    for month, cost in opened.items():
        for job_id, share in spread_floor(cost, minutes[month]).items():
            carried[job_id] += share
    return dict(carried)

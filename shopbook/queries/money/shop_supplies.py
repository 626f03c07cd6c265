"""What was opened for the shop floor, spread over the jobs of its month by their hours."""

from collections import defaultdict
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.shelf import Movement
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.trade.measures.days import month_of
from shopbook.trade.results.margin import spread_supplies_over_days


def supplies_opened(session: Session, first: date, last: date) -> dict[str, int]:
    """What was opened for the shop floor from `first` to `last`, in minor units by month; one statement."""
    opened: dict[str, int] = defaultdict(int)
    for day, value in session.execute(
        select(Movement.on, -func.sum(Movement.value_minor))
        .where(Movement.on.between(first, last), Movement.kind.in_(STAGE_KINDS), Movement.job_id.is_(None))
        .group_by(Movement.on)
    ):
        opened[month_of(day)] += int(value)
    return dict(opened)


def list_supplies_shares(session: Session, first: date, last: date) -> list[tuple[int, date, int]]:
    """(job, day, share) of every job on which a clock ran from the first of a month to `last`; two statements.

    Of a month that ends after `last` it is what was opened so far, by the hours so far.
    """
    opened = supplies_opened(session, first, last)
    minutes: dict[str, dict[tuple[int, date], int]] = defaultdict(dict)
    for day, job_id, worked in session.execute(
        select(ClockEntry.on, ClockShare.job_id, func.sum(ClockShare.minutes))
        .join(ClockShare, ClockShare.entry_id == ClockEntry.id)
        .where(ClockEntry.on.between(first, last))
        .group_by(ClockEntry.on, ClockShare.job_id)
    ):
        minutes[month_of(day)][job_id, day] = int(worked)
    return [
        (job_id, day, share)
        for month, cost in opened.items()
        for (job_id, day), share in spread_supplies_over_days(cost, minutes[month]).items()
    ]

"""Cars that cannot go out as promised: their plans placed anew into the hours that are free, against what was told."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import Away
from shopbook.queries.diary.promised import PromisedJob
from shopbook.queries.diary.suggest import Suggestion, read_ahead
from shopbook.queries.jobs.whole import WholeJob, whole_jobs
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.diary.late import LateCar, late_car

TOO_LITTLE_TIME = "its work takes longer than that"
"""Why a car is late that nothing but its own hours holds up."""


def late_cars(
    shop: ShopOn,
    wholes: Iterable[WholeJob],
    now: datetime,
    promised: Sequence[PromisedJob] | None = None,
    away: Sequence[Away] | None = None,
) -> dict[int, LateCar]:
    """Those of these jobs that cannot go out as promised, by job id; told promises stay as they are.

    Two statements however many, less one each where `promised` (the open jobs of the diary) and `away` are given.
    """
    asked = [whole for whole in wholes if is_open_promise(whole.job)]
    if not asked:
        return {}
    ahead = read_ahead(shop, promised, away)
    found = ((whole.job, late_by(whole.job, ahead.suggest(whole, now))) for whole in asked)
    return {job.id: late for job, late in found if late is not None}


def late_by(job: Job, offered: Suggestion) -> LateCar | None:
    """The same of one job for which the diary was asked already."""
    if job.promise_on is None or not is_open_promise(job):
        return None
    return late_car((job.promise_on, job.promise_half), offered.promise, offered.reasons or TOO_LITTLE_TIME)


def is_open_promise(job: Job) -> bool:
    """Whether a day is promised and still to be kept."""
    over = (job.ready_at, job.handed_over_at, job.called_off_at)
    return job.promise_on is not None and not any(over) and not job.is_sample


OPEN_PROMISE = (
    Job.promise_on.is_not(None),
    Job.ready_at.is_(None),
    Job.handed_over_at.is_(None),
    Job.called_off_at.is_(None),
    ~Job.is_sample,
)
"""The same, for the book."""


def list_later(session: Session, now: datetime) -> Mapping[int, LateCar]:
    """Every car that cannot go out as promised, by the number of its job, for the upgrade."""
    if find_book(session) is None:
        return {}
    asked = select(Job).where(*OPEN_PROMISE).order_by(Job.number)
    wholes = whole_jobs(session, list(session.scalars(asked)), with_damages=False)
    late = late_cars(shop_at(session, now), wholes.values(), now)
    return {whole.job.number: late[job_id] for job_id, whole in wholes.items() if job_id in late}

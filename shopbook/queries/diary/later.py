"""Cars that cannot go out as promised: their plans placed anew into the hours that are free, against what was told."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.diary.suggest import suggest_for
from shopbook.queries.jobs.whole import whole_jobs
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.diary.promise import Promise
from shopbook.trade.measures.half_days import half_day_end, half_day_words


@dataclass(frozen=True, slots=True)
class LaterCar:
    """One car: its job's number, what was told, and when it can be ready, both in words."""

    number: int
    told: str
    ready: str


def list_later(session: Session, now: datetime) -> list[LaterCar]:
    """Open jobs whose plan ends after the half-day that was promised, by number; told promises stay as they are.

    Several statements a car: for the upgrade, not for a page.
    """
    if find_book(session) is None:
        return []
    shop = shop_at(session, now)
    asked = select(Job).where(
        Job.promise_on.is_not(None),
        Job.ready_at.is_(None),
        Job.handed_over_at.is_(None),
        Job.called_off_at.is_(None),
        ~Job.is_sample,
    )
    jobs = list(session.scalars(asked.order_by(Job.number)))
    wholes = whole_jobs(session, jobs)
    found = (_later(job, suggest_for(wholes[job.id], shop, now).promise, shop) for job in jobs)
    return [each for each in found if each is not None]


def _later(job: Job, made: Promise | None, shop: ShopOn) -> LaterCar | None:
    if made is None or job.promise_on is None:
        return None
    if half_day_end(made.collect_on, made.collect_half) <= half_day_end(job.promise_on, job.promise_half):
        return None
    form = shop.country.date_form
    told = half_day_words(job.promise_on, job.promise_half, shop.day, form)
    return LaterCar(job.number, told, half_day_words(made.collect_on, made.collect_half, shop.day, form))

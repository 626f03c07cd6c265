"""The cars of a span of days as the book has them, each table asked once: what every sum of a month is made from."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Select, exists, or_, select, union
from sqlalchemy.orm import Session, joinedload

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart
from shopbook.models.money import Invoice, MonthClose
from shopbook.models.shelf import Movement
from shopbook.queries.jobs.whole import Clocked
from shopbook.queries.money.closings import list_standing_closings
from shopbook.queries.money.costs import CostLine, read_costs
from shopbook.queries.money.papers import read_papers
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_of, month_shifted
from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.kept_month import kept_work
from shopbook.trade.results.papers import BilledPaper


@dataclass(frozen=True, slots=True)
class CarsRead:
    """The jobs that were in the shop, cost something or were billed from `first` to `last`, by number.

    `costs`, `clocked` and `papers` (by job id) are all of these jobs up to the last day, from their first one on, so
    that any part of the span is summed from it. `kept` is what the closings kept of each job, by month.
    """

    shop: ShopOn
    first: date
    last: date
    jobs: Sequence[Job]
    costs: Sequence[CostLine]
    clocked: Sequence[Clocked]
    papers: Mapping[int, Sequence[BilledPaper]]
    kept: Mapping[str, Mapping[str, int] | None]

    def costs_of(self, first: date, last: date) -> list[CostLine]:
        """What cars cost on these days of the span."""
        return [line for line in self.costs if first <= line.on <= last]

    def kept_before(self, day: date) -> Mapping[str, int] | None:
        """What the closing of the month before a day kept of each job; None where it is open, or kept no figures."""
        return self.kept.get(month_shifted(month_of(day), -1))


def read_cars(shop: ShopOn, first: date, last: date, closings: Sequence[MonthClose] | None = None) -> CarsRead:
    """The cars of the days from `first`, a month's first, to `last`; eight statements, seven with the standing
    `closings` of these months and of the one before."""
    session = shop.session
    if closings is None:
        closings = list_standing_closings(session, closings_wanted([month_of(first)]))
    kept = {closing.month: kept_work(closing.numbers) for closing in closings}
    jobs = _jobs(session, first, last, shop.zone, [int(number) for each in kept.values() for number in each or ()])
    ids = [job.id for job in jobs]
    costs = read_costs(session, ids, last)
    return CarsRead(shop, first, last, jobs, costs.lines, costs.clocked, read_papers(session, ids, last), kept)


def closings_wanted(months: Sequence[str]) -> list[str]:
    """These months, the oldest first, and the one before: what its closing kept is what they open with."""
    return [month_shifted(months[0], -1), *months]


def _jobs(session: Session, first: date, last: date, zone: ZoneInfo, kept: Collection[int]) -> Sequence[Job]:
    ids = union(
        *_asked(first, last, datetime.combine(first, time.min, zone)), select(Job.id).where(Job.number.in_(kept))
    )
    asked = select(Job).where(Job.id.in_(ids.subquery().select())).options(joinedload(Job.vehicle))
    return session.scalars(asked.order_by(Job.number)).all()


def _asked(first: date, last: date, begins: datetime) -> list[Select[Any]]:
    """Jobs that may be carried into the span, and those of its clocks, movements, parts and papers, each by id."""
    invoiced = exists().where(
        Invoice.job_id == Job.id, Invoice.issued_on < first, Invoice.kind == "invoice", Invoice.corrects_id.is_(None)
    )
    carried = select(Job.id).where(
        Job.opened_on <= last,
        Job.purpose == JobPurpose.PAID,
        ~Job.is_sample,
        or_(Job.called_off_at.is_(None), Job.called_off_at >= begins),
        ~invoiced,
    )
    clocked = select(ClockShare.job_id).join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
    drawn = select(Movement.job_id).where(Movement.kind.in_(STAGE_KINDS), Movement.job_id.is_not(None))
    came_or_went = or_(JobPart.came_on >= first, JobPart.sent_back_at >= begins)
    return [
        carried,
        clocked.where(ClockEntry.on.between(first, last)),
        drawn.where(Movement.on.between(first, last)),
        select(JobPart.job_id).where(JobPart.came_on <= last, came_or_went),
        select(Invoice.job_id).where(Invoice.issued_on.between(first, last)),
    ]

"""What the invoices of some days brought, and what those jobs and the jobs that nobody pays for cost."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.money.costs import CostLine, list_costs
from shopbook.queries.reports.hours_sold import list_hours_sold
from shopbook.queries.reports.house_costs import owners_labour
from shopbook.queries.reports.month_jobs import Span, list_invoiced
from shopbook.queries.shelf.movements import stock_sums
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind
from shopbook.trade.purposes import is_paid_for
from shopbook.trade.results.break_even import SoldWork, sold_work
from shopbook.trade.results.margin import Costs


@dataclass(frozen=True, slots=True)
class SoldReading:
    """What was sold, and what the shelf lost that no job carries, in minor units."""

    sold: SoldWork
    shelf_minor: int


@dataclass(frozen=True, slots=True)
class _Jobs:
    """The jobs of a span by what became of them: first invoiced in it, cancelled in it without an invoice; `lost` are
    those whose cost of these days nobody pays for, `billed` all that have an invoice in it."""

    first_billed: frozenset[int]
    billed: frozenset[int]
    cancelled: frozenset[int]
    lost: frozenset[int]


def read_sold(shop: ShopOn, first: date, last: date) -> SoldReading:
    """The days from `first` to `last`: all cost of the jobs first invoiced in them, later cost of those invoiced again.

    Lost is the cost of these days of comebacks, goodwill and own cars and of jobs invoiced before, and all cost of jobs
    cancelled in them. A job in work is in neither. A fixed number of statements.
    """
    session = shop.session
    spent = list_costs(session, first=first, last=last)
    jobs = _sort(shop, {line.job_id for line in spent}, first, last)
    whole = jobs.first_billed | jobs.cancelled
    before = list_costs(session, jobs=whole, last=first - timedelta(days=1))
    sales = _sum([*before, *spent], jobs.billed)
    lost = _sum([*before, *spent], jobs.cancelled | jobs.lost)
    by_kind: dict[LineKind, int] = {}
    for row in list_invoiced(session, Span(first, last)):
        by_kind[row.kind] = by_kind.get(row.kind, 0) + row.net_minor
    sold = sold_work(
        sum(list_hours_sold(session, first, last).values()),
        by_kind,
        sales,
        lost_minor=lost.total_minor,
        owner_labour_minor=_owners(session, shop.owners, jobs, whole, Span(first, last)),
    )
    return SoldReading(sold, _shelf(session, spent, first, last))


def _sort(shop: ShopOn, spent_on: Collection[int], first: date, last: date) -> _Jobs:
    invoices, since = _invoices(shop.session, last), datetime.combine(first, time(0), shop.zone)
    begun = frozenset(job for job, days in invoices.items() if first <= days[0])
    billed = frozenset(job for job, days in invoices.items() if first <= days[1])
    rows = shop.session.execute(
        select(Job.id, Job.purpose, Job.called_off_at).where(
            or_(Job.id.in_({*spent_on, *billed}), Job.called_off_at >= since)
        )
    ).all()
    off = {job: shop.day_of(at) for job, _, at in rows if at is not None}
    cancelled = frozenset(job for job, day in off.items() if job not in invoices and first <= day <= last)
    unpaid = {job for job, purpose, _ in rows if not is_paid_for(purpose)}
    gone = {job for job, days in invoices.items() if days[0] < first}
    dead = {job for job, day in off.items() if job not in invoices and day < first}
    return _Jobs(begun - unpaid, billed - unpaid, cancelled - unpaid, frozenset(unpaid | (gone - billed) | dead))


def _invoices(session: Session, last: date) -> dict[int, tuple[date, date]]:
    """The days of the first and the newest invoice of each job (no deposit, nothing in another one's place)."""
    asked = select(Invoice.job_id, func.min(Invoice.issued_on), func.max(Invoice.issued_on)).where(
        Invoice.kind == "invoice", Invoice.corrects_id.is_(None), Invoice.issued_on <= last
    )
    return {job: (begun, newest) for job, begun, newest in session.execute(asked.group_by(Invoice.job_id))}


def _sum(lines: Sequence[CostLine], jobs: Collection[int]) -> Costs:
    return sum((line.counted for line in lines if line.job_id in jobs), Costs())


def _owners(session: Session, owners: Collection[int], jobs: _Jobs, whole: Collection[int], span: Span) -> int:
    """The owner's labour in what is sold or lost: of jobs taken whole of all days, of the others of these days."""
    counted = jobs.billed | jobs.cancelled | jobs.lost
    labour = owners_labour(session, owners, counted, date.min, span.last)
    days = ((job, day, cost) for job, own in labour.items() for day, cost in own.items())
    return sum(cost for job, day, cost in days if job in whole or day >= span.first)


def _shelf(session: Session, spent: Sequence[CostLine], first: date, last: date) -> int:
    stock = stock_sums(session, first, last)
    on_no_job = stock.issued_to_supplies_minor - sum(line.costs.supplies_minor for line in spent)
    return on_no_job + stock.wasted_minor - stock.counted_minor + stock.variance_minor

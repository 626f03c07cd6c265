"""What the cars of a month had cost when it began and when it ended, job by job, as of its last day."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import exists, or_, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.money.closings import find_standing_closing
from shopbook.queries.money.costs import CostLine, list_costs, sum_by_job
from shopbook.queries.money.owed import stands_on
from shopbook.queries.reports.house_costs import owners_labour
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.measures.days import month_of, month_shifted
from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.kept_month import kept_work
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.work_in_progress import DayCost, JobCourse, JobMonthCosts, WorkInProgress, follow_job

_IS_FIRST = (Invoice.kind == "invoice", Invoice.corrects_id.is_(None))
"""Of a paper: an invoice that stands in no other one's place. A deposit invoice, a fee and a credit note are none."""


@dataclass(frozen=True, slots=True)
class Followed:
    """The jobs that a month is about: those it began with and those it spent on; `before` is what each had cost up to
    the day before, by id, and `spent` what it cost in the month. Or of several months."""

    first: date
    last: date
    jobs: Sequence[Job]
    courses: Mapping[int, JobCourse]
    before: Mapping[int, Costs]
    spent: Mapping[int, Sequence[DayCost]]
    kept: Mapping[str, int] | None
    """What the closing of the month before kept of each job; None where that month is open, or kept no such figures."""

    @property
    def ids(self) -> dict[str, int]:
        """The id of each job by its number."""
        return {str(job.number): job.id for job in self.jobs}

    @property
    def before_by_number(self) -> dict[str, Costs]:
        """The same by the number of the job, for the rows of the month."""
        return {str(job.number): self.before[job.id] for job in self.jobs if job.id in self.before}


def follow_jobs(shop: ShopOn, first: date, last: date, costs: Sequence[CostLine]) -> Followed:
    """The jobs of the days from `first`, a month's first, to `last`, and what they cost; `costs` are the `list_costs`
    of these days. Nine statements."""
    session = shop.session
    spent = _by_job(costs)
    kept = _kept(session, month_of(first))
    jobs = _jobs_of(session, {*spent, *_list_carried(session, first, last, shop.zone)}, kept or ())
    ids = [job.id for job in jobs]
    invoices = _invoices(session, ids, last)
    courses = {job.id: _course(job, invoices[job.id], shop.zone) for job in jobs}
    before = sum_by_job(list_costs(session, jobs=ids, last=first - timedelta(days=1)))
    return Followed(first, last, jobs, courses, before, spent, kept)


def read_work(shop: ShopOn, followed: Followed) -> WorkInProgress:
    """The work in progress of a month, by the number of the job.

    The opening is what the closing of the month before kept, where that month is closed. A fixed number of statements.
    """
    found = costs_by_job(followed)
    finished = {number: followed.ids[number] for number in WorkInProgress(found).finished}
    return WorkInProgress(found, _to_bill(shop.on(followed.last), finished))


def costs_by_job(followed: Followed) -> dict[str, JobMonthCosts]:
    """Where the cost of each job stands, by its number."""
    kept = followed.kept
    return {
        number: follow_job(
            followed.courses[job_id],
            followed.before.get(job_id, Costs()),
            followed.spent.get(job_id, ()),
            followed.first,
            followed.last,
            None if kept is None else kept.get(number, 0),
        )
        for number, job_id in followed.ids.items()
    }


def owners_part(shop: ShopOn, followed: Followed) -> int:
    """What of the month's cost is the owner's own labour, at the owner's cost: of the jobs invoiced, and of the cars
    that no invoice takes. One statement."""
    labour = owners_labour(shop.session, shop.owners, list(followed.courses), date.min, followed.last)
    first, last = followed.first, followed.last
    return sum(_owners_part(followed.courses[job_id], days, first, last) for job_id, days in labour.items())


def _owners_part(course: JobCourse, days: Mapping[date, int], first: date, last: date) -> int:
    before = Costs(labour_minor=sum(minor for on, minor in days.items() if on < first))
    spent = [DayCost(on, Costs(labour_minor=minor)) for on, minor in sorted(days.items()) if on >= first]
    return follow_job(course, before, spent, first, last).charged.labour_minor


def _by_job(costs: Iterable[CostLine]) -> dict[int, list[DayCost]]:
    found: dict[int, list[DayCost]] = defaultdict(list)
    for line in costs:
        found[line.job_id].append(DayCost(line.on, line.counted))
    return found


def _list_carried(session: Session, first: date, last: date, zone: ZoneInfo) -> Sequence[int]:
    """Paying jobs that were opened by the last day and had neither an invoice nor were cancelled before the first."""
    begins = datetime.combine(first, time.min, zone)
    asked = select(Job.id).where(
        Job.opened_on <= last,
        Job.purpose == JobPurpose.PAID,
        ~Job.is_sample,
        or_(Job.called_off_at.is_(None), Job.called_off_at >= begins),
        ~exists().where(Invoice.job_id == Job.id, Invoice.issued_on < first, *_IS_FIRST),
    )
    return session.scalars(asked).all()


def _jobs_of(session: Session, ids: Collection[int], numbers: Collection[str]) -> Sequence[Job]:
    """The jobs of these ids, and those of these numbers."""
    known = [int(number) for number in numbers]
    return session.scalars(select(Job).where(or_(Job.id.in_(ids), Job.number.in_(known))).order_by(Job.number)).all()


def _invoices(session: Session, ids: Collection[int], last: date) -> dict[int, tuple[date, ...]]:
    """The days of each job's invoices up to the last day, in order."""
    asked = select(Invoice.job_id, Invoice.issued_on).where(
        Invoice.job_id.in_(ids), Invoice.issued_on <= last, *_IS_FIRST
    )
    found: dict[int, tuple[date, ...]] = defaultdict(tuple)
    for job_id, day in session.execute(asked.order_by(Invoice.issued_on, Invoice.id)):
        found[job_id] += (day,)
    return found


def _course(job: Job, invoiced_on: tuple[date, ...], zone: ZoneInfo) -> JobCourse:
    """A sample earns nothing and is nobody's car: it counts as our own."""
    done = [moment.astimezone(zone).date() for moment in (job.ready_at,) if moment]
    return JobCourse(
        purpose=JobPurpose.OWN_CAR if job.is_sample else JobPurpose(job.purpose),
        invoiced_on=invoiced_on,
        cancelled_on=job.called_off_at.astimezone(zone).date() if job.called_off_at else None,
        finished_on=min([*done, *([job.handed_over_on] if job.handed_over_on else [])], default=None),
    )


def _kept(session: Session, month: str) -> dict[str, int] | None:
    """What the closing of the month before kept of each job; None where it is open, or kept no such figures."""
    closing = find_standing_closing(session, month_shifted(month, -1))
    return kept_work(closing.numbers) if closing else None


def _to_bill(shop: ShopOn, ids: Mapping[str, int]) -> dict[str, int]:
    """What was agreed of each of these jobs, without tax."""
    stands = stands_on(shop, ids.values()) if ids else {}
    return {number: stands[job_id].agreed_net_minor for number, job_id in ids.items()}

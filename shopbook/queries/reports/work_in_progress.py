"""What the cars of a month had cost when it began and when it ended, job by job, as of its last day."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shopbook.models.jobs import Job
from shopbook.queries.money.costs import CostLine, sum_by_job
from shopbook.queries.money.owed import agreed_nets
from shopbook.queries.reports.cars_read import CarsRead
from shopbook.queries.reports.house_costs import owners_labour
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.papers import invoiced_on
from shopbook.trade.results.work_in_progress import DayCost, JobCourse, JobMonthCosts, WorkInProgress, follow_job


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


def follow_jobs(read: CarsRead, first: date, last: date) -> Followed:
    """The jobs of the days from `first`, a month's first, to `last`, days of what is `read`, and what they cost."""
    spent, kept = _by_job(read.costs_of(first, last)), read.kept_before(first)
    begins = datetime.combine(first, time.min, read.shop.zone)
    invoiced = {job.id: invoiced_on(read.papers.get(job.id, ()), last) for job in read.jobs}
    jobs = [
        job
        for job in read.jobs
        if job.id in spent
        or str(job.number) in (kept or ())
        or _is_carried(job, invoiced[job.id], begins, (first, last))
    ]
    courses = {job.id: _course(job, invoiced[job.id], read.shop.zone) for job in jobs}
    before = sum_by_job(read.costs_of(date.min, first - timedelta(days=1)))
    return Followed(
        first, last, jobs, courses, {job_id: before[job_id] for job_id in courses if job_id in before}, spent, kept
    )


def read_work(shop: ShopOn, followed: Followed) -> WorkInProgress:
    """The work in progress of a month, by the number of the job.

    The opening is what the closing of the month before kept, where that month is closed. A fixed number of statements.
    """
    found = costs_by_job(followed)
    by_number = {str(job.number): job for job in followed.jobs}
    finished = {number: by_number[number] for number in WorkInProgress(found).finished}
    nets = agreed_nets(shop.on(followed.last), finished.values())
    return WorkInProgress(found, {number: nets[job.id] for number, job in finished.items()})


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


def owners_part(read: CarsRead, followed: Followed) -> int:
    """What of the month's cost is the owner's own labour, at the owner's cost: of the jobs invoiced, and of the cars
    that no invoice takes."""
    first, last = followed.first, followed.last
    labour = owners_labour((one for one in read.clocked if one.on <= last), read.shop.owners)
    return sum(
        _owners_part(course, labour[job_id], first, last)
        for job_id, course in followed.courses.items()
        if job_id in labour
    )


def _owners_part(course: JobCourse, days: Mapping[date, int], first: date, last: date) -> int:
    before = Costs(labour_minor=sum(minor for on, minor in days.items() if on < first))
    spent = [DayCost(on, Costs(labour_minor=minor)) for on, minor in sorted(days.items()) if on >= first]
    return follow_job(course, before, spent, first, last).charged.labour_minor


def _by_job(costs: Iterable[CostLine]) -> dict[int, list[DayCost]]:
    found: dict[int, list[DayCost]] = defaultdict(list)
    for line in costs:
        found[line.job_id].append(DayCost(line.on, line.counted))
    return found


def _is_carried(job: Job, invoiced: Sequence[date], begins: datetime, days: tuple[date, date]) -> bool:
    """A paying job that was opened by the last of these days and had neither an invoice nor was cancelled before the
    first, which begins at that moment."""
    return (
        job.opened_on <= days[1]
        and job.purpose == JobPurpose.PAID
        and not job.is_sample
        and (job.called_off_at is None or job.called_off_at >= begins)
        and not (invoiced and invoiced[0] < days[0])
    )


def _course(job: Job, invoiced_on: tuple[date, ...], zone: ZoneInfo) -> JobCourse:
    """A sample earns nothing and is nobody's car: it counts as our own."""
    done = [moment.astimezone(zone).date() for moment in (job.ready_at,) if moment]
    return JobCourse(
        purpose=JobPurpose.OWN_CAR if job.is_sample else JobPurpose(job.purpose),
        invoiced_on=invoiced_on,
        cancelled_on=job.called_off_at.astimezone(zone).date() if job.called_off_at else None,
        finished_on=min([*done, *([job.handed_over_on] if job.handed_over_on else [])], default=None),
    )

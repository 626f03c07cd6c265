"""Work in progress: what cars that are not invoiced yet have cost, how it came there and how it leaves.

On a day it is the cost dated up to that day of every paying job without an invoice (a deposit invoice is none) that was
not cancelled by then. The first invoice takes out all cost so far, and it never returns, credited or not. What a job
costs after that belongs to the gross profit of a month in which a further invoice of the job is issued, else to the
month as later cost. A month's share of shop supplies goes with an invoice of that month, whatever its day. A comeback,
goodwill and our own car never enter: they are a line of the month, whole.

Example, November: A is invoiced on the 20th, 340.00 from before and 168.00 of November; B in work has cost 385.00; C,
handed over without an invoice, 255.00; E is cancelled after 70.00; D is a comeback of 118.00; F, invoiced in October,
cost 24.00 more. 340.00 + 878.00 − 508.00 − 70.00 = 640.00, and 118.00 and 24.00 are cost of the month.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from shopbook.trade.purposes import JobPurpose, is_paid_for
from shopbook.trade.results.margin import Costs


@dataclass(frozen=True, slots=True)
class DayCost:
    """What a job cost on one day; what its own rework cost stands apart and goes where the job goes."""

    on: date
    costs: Costs


@dataclass(frozen=True, slots=True)
class JobCourse:
    """What decides where a job's cost stands.

    `invoiced_on` holds the days of its invoices in order: no deposit invoice, no fee, no credit note, and no corrected
    invoice, which stands in another one's place. `finished_on` is the day it was ready, or was handed over without
    being marked so.
    """

    purpose: JobPurpose = JobPurpose.PAID
    invoiced_on: tuple[date, ...] = ()
    cancelled_on: date | None = None
    finished_on: date | None = None


@dataclass(frozen=True, slots=True)
class JobMonthCosts:
    """Where the cost of one job stands in a month.

    opening + changed + added − invoiced − cancelled = closing. `opening_minor` is what the closing of the month before
    kept of it; `changed_minor` is what the book says otherwise by now (a cancelled job taken up again). `further` is
    cost after the first invoice that a further one of the month takes, `later` what none takes; `apart` is all cost of
    the month of a job that nobody pays for.
    """

    purpose: JobPurpose = JobPurpose.PAID
    opening_minor: int = 0
    changed_minor: int = 0
    added: Costs = field(default_factory=Costs)
    invoiced: Costs = field(default_factory=Costs)
    cancelled: Costs = field(default_factory=Costs)
    further: Costs = field(default_factory=Costs)
    later: Costs = field(default_factory=Costs)
    apart: Costs = field(default_factory=Costs)
    is_billed: bool = False
    """Whether an invoice of the month is its."""
    is_finished: bool = False
    """Whether it was finished on the last day, and not invoiced."""

    @property
    def closing_minor(self) -> int:
        """What it carries into the next month."""
        out = self.invoiced.total_minor + self.cancelled.total_minor
        return self.opening_minor + self.changed_minor + self.added.total_minor - out

    @property
    def of_sales(self) -> Costs:
        """What is set against the sales of the month."""
        return self.invoiced + self.further

    @property
    def charged(self) -> Costs:
        """All that the month bears of it: against its sales, or as a line of its own."""
        return self.of_sales + self.cancelled + self.later + self.apart


def follow_job(
    course: JobCourse,
    opening: Costs,
    spent: Sequence[DayCost],
    first: date,
    last: date,
    kept_minor: int | None = None,
) -> JobMonthCosts:
    """One job's cost in the month from `first` to `last`: `opening` is its cost up to the day before, `spent` that of
    the month, `kept_minor` what the closing of the month before kept of it (None: that month was not closed)."""
    month = sum((each.costs for each in spent), Costs())
    billed = tuple(day for day in course.invoiced_on if first <= day <= last)
    is_paid, has_left = is_paid_for(course.purpose), _left_before(course, first) is not None
    carried = opening if is_paid and not has_left else Costs()
    opening_minor = carried.total_minor if kept_minor is None else kept_minor
    changed_minor = carried.total_minor - opening_minor
    found = JobMonthCosts(course.purpose, opening_minor, changed_minor, is_billed=bool(billed))
    if not is_paid:
        return replace(found, apart=month)
    if has_left:
        return _after_it_left(found, course, month, first)
    return _invoiced(found, carried, spent, billed) if billed else _not_invoiced(found, course, carried, month, last)


def _not_invoiced(found: JobMonthCosts, course: JobCourse, carried: Costs, month: Costs, last: date) -> JobMonthCosts:
    if course.cancelled_on is not None and course.cancelled_on <= last:
        return replace(found, added=month, cancelled=carried + month)
    is_finished = course.finished_on is not None and course.finished_on <= last
    return replace(found, added=month, is_finished=is_finished)


def _left_before(course: JobCourse, first: date) -> date | None:
    """The day before the month on which the job left: invoiced or cancelled; None while it had not."""
    days = [*course.invoiced_on[:1], *([course.cancelled_on] if course.cancelled_on else [])]
    return min((day for day in days if day < first), default=None)


def _after_it_left(found: JobMonthCosts, course: JobCourse, month: Costs, first: date) -> JobMonthCosts:
    if found.is_billed:
        return replace(found, further=month)
    if any(day < first for day in course.invoiced_on):
        return replace(found, later=month)
    return replace(found, added=month, cancelled=month)


def _invoiced(found: JobMonthCosts, carried: Costs, spent: Sequence[DayCost], billed: Sequence[date]) -> JobMonthCosts:
    so_far = sum((_taken_by(billed[0], each) for each in spent), Costs())
    rest = sum((each.costs for each in spent), Costs()) - so_far
    is_taken = len(billed) > 1
    return replace(
        found,
        added=so_far,
        invoiced=carried + so_far,
        further=rest if is_taken else Costs(),
        later=Costs() if is_taken else rest,
    )


def _taken_by(day: date, each: DayCost) -> Costs:
    """What an invoice of that day takes: all cost so far, and the month's share of shop supplies."""
    return each.costs if each.on <= day else Costs(supplies_minor=each.costs.supplies_minor)


@dataclass(frozen=True, slots=True)
class WorkInProgress:
    """The jobs of a month by number, and what they add up to in minor units; `to_bill` is what was agreed of those
    finished and not invoiced, before tax."""

    jobs: Mapping[str, JobMonthCosts]
    to_bill: Mapping[str, int] = field(default_factory=dict)

    @property
    def opening_minor(self) -> int:
        return sum(job.opening_minor for job in self.jobs.values())

    @property
    def changed_minor(self) -> int:
        return sum(job.changed_minor for job in self.jobs.values())

    @property
    def added_minor(self) -> int:
        return sum(job.added.total_minor for job in self.jobs.values())

    @property
    def invoiced_minor(self) -> int:
        return sum(job.invoiced.total_minor for job in self.jobs.values())

    @property
    def cancelled_minor(self) -> int:
        return sum(job.cancelled.total_minor for job in self.jobs.values())

    @property
    def closing_minor(self) -> int:
        return sum(job.closing_minor for job in self.jobs.values())

    @property
    def opened_with(self) -> tuple[str, ...]:
        """The jobs that the month began with."""
        return tuple(number for number, job in self.jobs.items() if job.opening_minor)

    @property
    def cancelled(self) -> tuple[str, ...]:
        """The jobs that were cancelled with cost on them."""
        return tuple(number for number, job in self.jobs.items() if job.cancelled.total_minor)

    @property
    def in_work(self) -> tuple[str, ...]:
        """The jobs carried into the next month that were not finished on the last day."""
        return self._carried(is_finished=False)

    @property
    def finished(self) -> tuple[str, ...]:
        """The jobs carried into the next month that were finished and not invoiced."""
        return self._carried(is_finished=True)

    def closing_of(self, numbers: Iterable[str]) -> int:
        """What these jobs carry into the next month."""
        return sum(self.jobs[number].closing_minor for number in numbers)

    def _carried(self, *, is_finished: bool) -> tuple[str, ...]:
        """A finished job is one to be billed, also where it has cost nothing."""
        return tuple(
            number
            for number, job in self.jobs.items()
            if job.is_finished is is_finished and (is_finished or job.closing_minor)
        )

"""The jobs of a month that made less than planned, the worst first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shopbook.trade.results.waterfall import JobWaterfall


@dataclass(frozen=True, slots=True)
class InvoicedJob:
    """One job that was invoiced in the month, by its number, with its way from planned to made."""

    number: int
    result: JobWaterfall

    @property
    def short_minor(self) -> int:
        """By how much it fell short of its plan; below zero where it made more."""
        return -self.result.waterfall.difference_minor


@dataclass(frozen=True, slots=True)
class ShortOfPlan:
    """How many of the month's jobs fell short of plan, and by how much in total: two of 17, by 346.30 and 20.00, are 2
    and 366.30. What others made more is not set against it."""

    jobs: int
    short: int
    total_minor: int


def worst_first(jobs: Iterable[InvoicedJob]) -> list[InvoicedJob]:
    """All of them, whoever fell furthest short of plan first; equal ones by number."""
    return sorted(jobs, key=lambda job: (-job.short_minor, job.number))


def short_jobs(jobs: Iterable[InvoicedJob]) -> list[InvoicedJob]:
    """Those that made less than planned, in their order."""
    return [job for job in jobs if job.short_minor > 0]


def sum_short(jobs: Sequence[InvoicedJob]) -> ShortOfPlan:
    """How many fell short, and by how much in total."""
    short = short_jobs(jobs)
    return ShortOfPlan(len(jobs), len(short), sum(job.short_minor for job in short))

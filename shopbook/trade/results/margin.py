"""The margin of a job: invoiced net, less labour at cost, materials at issue cost, parts and sublet work."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date

from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out


@dataclass(frozen=True, slots=True)
class Costs:
    """What was, or should be, spent on a job, in minor units.

    Rework stands apart in `rework_minor`: labour and materials of a rework stage, and everything
    that a comeback costs. `floor_minor` is the job's share of the shop supplies: see `spread_floor`.
    """

    labour_minor: int = 0
    materials_minor: int = 0
    parts_minor: int = 0
    sublet_minor: int = 0
    rework_minor: int = 0
    supplies_minor: int = 0

    @property
    def total_minor(self) -> int:
        return sum(getattr(self, column.name) for column in fields(self))

    @property
    def as_rework(self) -> "Costs":
        """The same sum, all of it spent on rework."""
        return Costs(rework_minor=self.total_minor)

    def __add__(self, other: "Costs") -> "Costs":
        return Costs(*(getattr(self, column.name) + getattr(other, column.name) for column in fields(self)))

    def __sub__(self, other: "Costs") -> "Costs":
        return Costs(*(getattr(self, column.name) - getattr(other, column.name) for column in fields(self)))


def bought_cost(kind: str, cost_minor: int) -> Costs:
    """The cost of something bought for one car: sublet work apart; parts, colour and fees in one sum."""
    return Costs(sublet_minor=cost_minor) if kind == PartKind.SUBLET else Costs(parts_minor=cost_minor)


@dataclass(frozen=True, slots=True)
class StageCost:
    """One stage, planned beside actual so far; `is_done` says that nothing more will come."""

    planned: Costs
    actual: Costs
    is_done: bool


@dataclass(frozen=True, slots=True)
class Margin:
    """What is earned on `revenue_minor` (net of tax) at `costs`, and its share in tenths of a percent.

    The share is none where nothing was earned from: a share of zero says nothing.
    """

    revenue_minor: int
    costs: Costs

    @property
    def margin_minor(self) -> int:
        return self.revenue_minor - self.costs.total_minor

    @property
    def share_permille(self) -> int | None:
        return share_permille(self.margin_minor, self.revenue_minor)


@dataclass(frozen=True, slots=True)
class JobMargin:
    """A job's three margins: as agreed and planned, as invoiced and spent so far, and if the rest goes as planned."""

    planned: Margin
    so_far: Margin
    expected: Margin

    @property
    def words(self) -> str:
        """The expected share against the planned one, in words."""
        return variance_words(self.planned.share_permille, self.expected.share_permille)

    @property
    def as_rework(self) -> "JobMargin":
        """The same margins of a job that is rework of another one: all its cost is rework."""
        sides = (self.planned, self.so_far, self.expected)
        return JobMargin(*(Margin(side.revenue_minor, side.costs.as_rework) for side in sides))


def job_margin(
    agreed_minor: int,
    invoiced_minor: int,
    stages: Sequence[StageCost],
    bought_planned: Costs | None = None,
    bought: Costs | None = None,
    *,
    is_settled: bool = False,
) -> JobMargin:
    """The margins of a job from its stages and from what is bought for the whole car (parts, colour, sublet work).

    A stage not done costs what it cost so far or what was planned, whichever is more; so does each kind of what is
    bought. Revenue expected is what was agreed, or invoiced where that is more; once `is_settled` (everything is
    invoiced and spent) it is what was invoiced and what was spent.
    """
    nothing = Costs()
    planned = sum((stage.planned for stage in stages), bought_planned or nothing)
    actual = sum((stage.actual for stage in stages), bought or nothing)
    rest = [stage.actual if stage.is_done else _larger(stage.planned, stage.actual) for stage in stages]
    expected = sum(rest, _larger(bought_planned or nothing, bought or nothing))
    return JobMargin(
        planned=Margin(agreed_minor, planned),
        so_far=Margin(invoiced_minor, actual),
        expected=Margin(invoiced_minor, actual) if is_settled else Margin(max(agreed_minor, invoiced_minor), expected),
    )


def _larger(one: Costs, other: Costs) -> Costs:
    return Costs(*(max(getattr(one, column.name), getattr(other, column.name)) for column in fields(Costs)))


def spread_supplies(opened_minor: int, minutes: Mapping[int, int]) -> dict[int, int]:
    """Shop supplies of a month (tape, wipes, discs, gloves), by job: in proportion to its minutes.

    The parts add up to the whole. Without a minute on any job, no job carries it and the answer is empty.
    """
    worked = {job: each for job, each in sorted(minutes.items()) if each > 0}
    return dict(zip(worked, share_out(opened_minor, list(worked.values())), strict=True))


def spread_supplies_over_days(
    opened_minor: int, minutes: Mapping[tuple[int, date], int]
) -> dict[tuple[int, date], int]:
    """The same by job and day: each job's part is laid on the days on which it was worked on, by their minutes.

    10.00 opened in a month with 120 min on job 1 (90 on the 3rd, 30 on the 9th) and 80 min on job 2: job 1 carries
    6.00, of which 4.50 on the 3rd and 1.50 on the 9th, job 2 carries 4.00.
    """
    by_job: dict[int, dict[date, int]] = defaultdict(dict)
    for (job, day), each in sorted(minutes.items()):
        by_job[job][day] = each
    found = {}
    for job, share in spread_supplies(opened_minor, {job: sum(days.values()) for job, days in by_job.items()}).items():
        worked = {day: each for day, each in by_job[job].items() if each > 0}
        for day, part in zip(worked, share_out(share, list(worked.values())), strict=True):
            found[job, day] = part
    return found


def cost_of_an_hour(paid_minor: int, on_top_minor: Sequence[int], paid_minutes: int) -> int:
    """What an hour of a person costs: wages and what the employer pays on top, over the paid time, rounded once."""
    if paid_minutes <= 0:
        raise RuleBroken("Enter the paid hours, for example 40.", "weekly_minutes")
    return divide_half_away((paid_minor + sum(on_top_minor)) * 60, paid_minutes)


def share_permille(part: int, whole: int) -> int | None:
    """`part` in tenths of a percent of `whole`, half away from zero; none where `whole` is zero."""
    return divide_half_away(part * 1000, whole) if whole else None


def share_words(permille: int | None) -> str:
    """Tenths of a percent as text: 314 is "31.4 %"; a dash where there is no share."""
    if permille is None:
        return "–"
    whole, tenth = divmod(abs(permille), 10)
    return f"{'−' if permille < 0 else ''}{whole}.{tenth} %"


def variance_words(planned_permille: int | None, actual_permille: int | None) -> str:
    """How a share stands to the planned one: "3.1 points above plan", "0.4 points below plan", "as planned"."""
    if planned_permille is None or actual_permille is None:
        return "nothing to compare yet"
    gap = actual_permille - planned_permille
    if gap == 0:
        return "as planned"
    return f"{abs(gap) // 10}.{abs(gap) % 10} points {'above' if gap > 0 else 'below'} plan"

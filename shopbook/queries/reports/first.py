"""The rows of First on Today: the facts of cars, parts, shelf and debts, put in order by `trade/first.py`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from shopbook.models.jobs import Job
from shopbook.queries.money.owed import OwedLine
from shopbook.queries.reports.cars import CarToday
from shopbook.queries.reports.due import DuePart
from shopbook.queries.shelf.sheet import ShelfRow
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.late import Half, LateCar
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.first import FirstJob, Pressing, Reason, first_of
from shopbook.trade.floor.readiness import Hold
from shopbook.trade.next_act import NextAct, NextStep, PlanFacts

LACKS = {
    NextStep.TELL: "not told yet",
    NextStep.INVOICE: "no invoice yet",
    NextStep.FURTHER: "follow-up invoice to write",
}
"""What is missing before a car can be fetched, by the act that comes next."""

Debt = tuple[int, OwedLine]
"""What is overdue of a job, and its share that was due first."""


@dataclass(frozen=True, slots=True)
class Stopped:
    """What a stage waits for: a part (with its row) or a material."""

    name: str
    part_id: int | None = None
    due_on: date | None = None


@dataclass(frozen=True, slots=True)
class FirstRow:
    """One of the three: its job, why it comes first, and what its press needs.

    `next` is the act of a car that moves, `late` says when it can be ready, `debt` is its share that was due first.
    """

    job: Job
    reason: Reason
    next: NextAct | None = None
    late: LateCar | None = None
    stopped: Stopped | None = None
    debt: OwedLine | None = None
    overdue_minor: int = 0
    due_now_minor: int = 0


@dataclass(frozen=True, slots=True)
class Morning:
    """What is read already: the cars of the day, the jobs that are named by id, and what they wait for and owe."""

    shop: ShopOn
    now: datetime
    cars: Sequence[CarToday]
    jobs: Mapping[int, Job]
    parts: Sequence[DuePart]
    short: Sequence[ShelfRow]
    debts: Sequence[OwedLine]


def first_rows(morning: Morning) -> list[FirstRow]:
    """Three at most; no statement."""
    opening, today = morning.shop.opening, morning.shop.day
    known = {job.number: job for job in morning.jobs.values()}
    stopped, debts = _stopped(morning, today), _largest(morning.debts, known)
    cars = {car.job.number: car for car in morning.cars}
    asked = [
        _pressing(morning, known[number], cars.get(number), stopped.get(number), debts.get(number))
        for number in cars.keys() | stopped.keys() | debts.keys()
    ]
    return [
        _row(one, known[one.number], cars.get(one.number), stopped.get(one.number), debts.get(one.number))
        for one in first_of(asked, morning.now, _until(opening, (today, "")))
    ]


def _pressing(morning: Morning, job: Job, car: CarToday | None, stopped: Stopped | None, debt: Debt | None) -> Pressing:
    """All the facts of one job."""
    opening, late = morning.shop.opening, car.late if car else None
    facts = _facts(car, opening, morning.shop.day) if car else Pressing(job.number)
    return replace(
        facts,
        ready_by=_until(opening, late.ready) if late else facts.promised_until,
        stopped_by=stopped.name if stopped else "",
        overdue_minor=debt[0] if debt else 0,
    )


def _row(one: FirstJob, job: Job, car: CarToday | None, stopped: Stopped | None, debt: Debt | None) -> FirstRow:
    overdue, line = debt or (0, None)
    return FirstRow(
        job,
        one.reason,
        car.next if car else None,
        car.late if car else None,
        stopped,
        line,
        overdue,
        car.stands.due_now_minor if car else 0,
    )


def _facts(car: CarToday, opening: OpeningHours, today: date) -> Pressing:
    job = car.job
    if job.promise_on is None or not car.is_out:
        return Pressing(job.number)
    until = _until(opening, (job.promise_on, job.promise_half))
    if job.ready_at is None:
        return Pressing(job.number, promised_until=until)
    if job.promise_on != today:
        return Pressing(job.number)
    return Pressing(job.number, pickup_at=until, lacks=LACKS.get(car.next.act, ""))


def _until(opening: OpeningHours, told: Half) -> datetime:
    """The end of a half-day, or of the day; of a day that was closed since, of the next open one."""
    day, half = told
    return opening.end_of_half(opening.add_working_days(day, 0), HalfDay(half) if half else HalfDay.AFTERNOON)


def _stopped(morning: Morning, today: date) -> dict[int, Stopped]:
    """What stages wait for, by job number, of cars that are here: a part that should be here, a part without which
    nothing can begin, or a material that is short for work of today; of several the first in this order."""
    here = {job.number for job in morning.jobs.values() if job.came_at and not job.ready_at}
    found = {
        **{number: Stopped(material) for number, material in _short_today(morning.short, today)},
        **{car.job.number: waits for car in morning.cars if (waits := _waits_for_part(car.plan))},
        **_parts_due(morning.parts),
    }
    return {number: each for number, each in found.items() if number in here}


def _parts_due(parts: Sequence[DuePart]) -> dict[int, Stopped]:
    """The part of each job that is late the longest and that a stage waits for."""
    return {row.number: Stopped(row.part.name, row.part.id, row.part.due_on) for row in parts[::-1] if row.stage}


def _waits_for_part(plan: PlanFacts) -> Stopped | None:
    """The part without which nothing of the plan can begin, or None."""
    stages = plan.open_stages
    if not stages or any(each.readiness.can_begin for each in stages):
        return None
    first = stages[0].readiness
    return (
        Stopped(first.part.name, due_on=first.part.due_on) if first.part and first.holds[:1] == (Hold.PART,) else None
    )


def _short_today(short: Iterable[ShelfRow], today: date) -> Iterable[tuple[int, str]]:
    """The jobs for which a material runs out today, counted in the order in which it is needed: of 500 ml there, 300
    needed by 61 and 300 by 68, it is short for 68. A figure below zero says that the book is wrong, and stops
    nothing."""
    for row in (each for each in short if each.material.on_hand_thousandths >= 0):
        left = row.material.on_hand_thousandths
        for need in row.needs:
            left -= need.quantity_thousandths
            if left < 0 and need.needed_on is not None and need.needed_on <= today:
                yield need.job_number, row.material.name


def _largest(debts: Iterable[OwedLine], known: Mapping[int, Job]) -> dict[int, Debt]:
    """What is overdue by job number, with the paper that was due first."""
    found: dict[int, Debt] = {}
    for line in (line for line in debts if line.job_number in known):
        before = found.get(line.job_number, (0, line))
        found[line.job_number] = (before[0] + line.owed_minor, before[1])
    return found

"""The rows of First on Today: the facts of cars, parts, shelf and debts, put in order by `trade/first.py`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from shopbook.models.jobs import Job
from shopbook.queries.diary.suggest import DiaryRead, suggest_with
from shopbook.queries.jobs.plans import JobHours
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.money.owed import JobStands, OwedLine
from shopbook.queries.reports.due import DuePart
from shopbook.queries.shelf.sheet import ShelfRow
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.promise import Promise
from shopbook.trade.first import Pressing, Reason, first_of
from shopbook.trade.floor.readiness import Hold
from shopbook.trade.next_act import NextAct, NextStep, PlanFacts

LACKS = {
    NextStep.TELL: "not told yet",
    NextStep.INVOICE: "no invoice yet",
    NextStep.FURTHER: "follow-up invoice to write",
}
"""What is missing before a car can be fetched, by the act that comes next."""


@dataclass(frozen=True, slots=True)
class CarToday:
    """One car that leaves or arrives, its place, its plan, its next step and what is left to pay for it."""

    job: Job
    place: str
    plan: PlanFacts
    hours: JobHours
    stands: JobStands
    next: NextAct
    is_out: bool


@dataclass(frozen=True, slots=True)
class Stopped:
    """What a stage waits for: a part (with its row) or a material."""

    name: str
    part_id: int | None = None
    due_on: date | None = None


@dataclass(frozen=True, slots=True)
class FirstRow:
    """One of the three: its job, why it comes first, and what its press needs.

    `next` is the act of a car that moves, `offer` the day that can be kept, `debt` the largest overdue paper.
    """

    job: Job
    reason: Reason
    next: NextAct | None = None
    offer: Promise | None = None
    stopped: Stopped | None = None
    debt: OwedLine | None = None
    overdue_minor: int = 0
    due_now_minor: int = 0


@dataclass(frozen=True, slots=True)
class Morning:
    """What is read already: the cars with their whole jobs, all that is named by job id, and the diary."""

    cars: Sequence[CarToday]
    wholes: Mapping[int, WholeJob]
    jobs: Mapping[int, Job]
    parts: Sequence[DuePart]
    short: Sequence[ShelfRow]
    debts: Sequence[OwedLine]
    diary: DiaryRead
    now: datetime


def first_rows(morning: Morning) -> list[FirstRow]:
    """Three at most; no statement. Days are looked for only where a promise of today, or a row shown, asks for one."""
    opening, today = morning.diary.shop.opening, morning.diary.shop.day
    known = {job.number: job for job in morning.jobs.values()}
    stopped, debts = _stopped(morning, today), _largest(morning.debts, known)
    facts = {car.job.number: _facts(car, opening, today) for car in morning.cars}
    for number in stopped.keys() | debts.keys():
        facts[number] = replace(
            facts.get(number, Pressing(number)),
            stopped_by=stopped[number].name if number in stopped else "",
            overdue_minor=debts[number][0] if number in debts else 0,
        )
    day_ends = _until(opening, today, "")
    offers = {
        car.job.number: _offer(morning, car.job)
        for car in morning.cars
        if _is_of_today(facts[car.job.number], morning.now, day_ends)
    }
    asked = [replace(each, ready_by=_ready_by(opening, offers.get(number))) for number, each in facts.items()]
    cars = {car.job.number: car for car in morning.cars}
    return [
        FirstRow(
            known[one.number],
            one.reason,
            cars[one.number].next if one.number in cars else None,
            _offer_shown(morning, one.reason, known[one.number], offers),
            stopped.get(one.number),
            debts[one.number][1] if one.number in debts else None,
            debts[one.number][0] if one.number in debts else 0,
            cars[one.number].stands.due_now_minor if one.number in cars else 0,
        )
        for one in first_of(asked, morning.now, day_ends)
    ]


def _facts(car: CarToday, opening: OpeningHours, today: date) -> Pressing:
    job = car.job
    if job.promise_on is None or not car.is_out:
        return Pressing(job.number)
    until = _until(opening, job.promise_on, job.promise_half)
    if job.ready_at is None:
        return Pressing(job.number, promised_until=until)
    if job.promise_on != today:
        return Pressing(job.number)
    return Pressing(job.number, pickup_at=until, lacks=LACKS.get(car.next.act, ""))


def _until(opening: OpeningHours, day: date, half: str) -> datetime:
    """The end of a half-day, or of the day; of a day that was closed since, of the next open one."""
    return opening.end_of_half(opening.add_working_days(day, 0), HalfDay(half) if half else HalfDay.AFTERNOON)


def _is_of_today(facts: Pressing, now: datetime, day_ends: datetime) -> bool:
    return facts.promised_until is not None and now <= facts.promised_until <= day_ends


def _offer(morning: Morning, job: Job) -> Promise | None:
    return suggest_with(morning.diary, morning.wholes[job.id], morning.now).promise


def _offer_shown(morning: Morning, reason: Reason, job: Job, offers: Mapping[int, Promise | None]) -> Promise | None:
    if reason not in {Reason.BROKEN, Reason.UNMET}:
        return None
    return offers[job.number] if job.number in offers else _offer(morning, job)


def _ready_by(opening: OpeningHours, offer: Promise | None) -> datetime | None:
    return opening.end_of_half(offer.collect_on, offer.collect_half) if offer else None


def _stopped(morning: Morning, today: date) -> dict[int, Stopped]:
    """What stages wait for, by job number: a part that should be here, a part without which nothing can begin, or a
    material that is short for work of today; of several the first in this order."""
    found: dict[int, Stopped] = {}
    for number, material in _short_today(morning.short, today):
        found[number] = Stopped(material)
    for car in morning.cars:
        stages = car.plan.open_stages if car.is_out and car.job.ready_at is None else ()
        first = stages[0].readiness if stages and not any(each.readiness.can_begin for each in stages) else None
        if first and first.part and first.holds[:1] == (Hold.PART,):
            found[car.job.number] = Stopped(first.part.name, due_on=first.part.due_on)
    for row in reversed(morning.parts):
        if row.stage and row.part.job_id in morning.jobs and morning.jobs[row.part.job_id].came_at:
            found[row.number] = Stopped(row.part.name, row.part.id, row.part.due_on)
    here = {job.number for job in morning.jobs.values() if job.came_at and not job.ready_at}
    return {number: each for number, each in found.items() if number in here}


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


def _largest(debts: Iterable[OwedLine], known: Mapping[int, Job]) -> dict[int, tuple[int, OwedLine]]:
    """What is overdue by job number, with the paper that was due first."""
    found: dict[int, tuple[int, OwedLine]] = {}
    for line in (line for line in debts if line.job_number in known):
        before = found.get(line.job_number, (0, line))
        found[line.job_number] = (before[0] + line.owed_minor, before[1])
    return found

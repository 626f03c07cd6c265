"""A price at the car for a car that has an open job already: offered to continue it, asked and never chosen."""

from dataclasses import dataclass

from shopbook.queries.customers import find_by_phone, find_vehicle_by_plate, get_customer, get_vehicle
from shopbook.queries.jobs.continuing import OpenJob, open_jobs_of
from shopbook.trade.errors import RuleBroken
from shopbook.trade.search_keys import plate_key
from shopbook.trade.who import read_who
from shopbook.web.jobs.forms import KerbForm
from shopbook.web.jobs.known import SOMEBODY_ELSE, pointed_at
from shopbook.web.parts import car_text, choices, key_or_none, near_day, reader
from shopbook.web.parts.rows import Customer, Job

ANOTHER = "new"
UNSAID = "There is an open job already. Choose below whether this price belongs to it."


@dataclass(frozen=True, slots=True)
class OpenJobs:
    """The open jobs of whoever was typed: those that may be continued, and those with a price or approval of their own.

    `must_choose` when car or customer is known for certain; half a name is offered and forces nothing.
    """

    bare: tuple[tuple[int, str], ...] = ()
    priced: tuple[tuple[int, str], ...] = ()
    must_choose: bool = False
    customer: Customer | None = None
    """Who the price is for, where that is known for certain."""


@dataclass(frozen=True, slots=True)
class _Meant:
    """Whom and which car was meant by what was typed and pointed at."""

    people: frozenset[int]
    car_id: int | None
    is_another_car: bool


def open_jobs(form: KerbForm, known: dict[str, str]) -> OpenJobs:
    """What is offered for what was typed and pointed at; the choices of the form's field are set from it."""
    meant = _meant(form, known)
    is_sure = bool(meant.people or meant.car_id)
    people = meant.people if is_sure else _maybe(form, known)
    found = open_jobs_of(reader(), people, [meant.car_id] if meant.car_id else [])
    mine = [row for row in found if _fits(row.job, meant.car_id, is_another=meant.is_another_car)]
    bare = _rows(mine, is_bare=True)
    form.continues.choices = choices({str(number): words for number, words in bare} | {ANOTHER: "A new job"})
    return OpenJobs(bare, _rows(mine, is_bare=False), is_sure and bool(mine), _sure(meant))


def _sure(meant: _Meant) -> Customer | None:
    """The one customer that is meant, or whose the car is."""
    if len(meant.people) == 1:
        return get_customer(reader(), *meant.people)
    return get_vehicle(reader(), meant.car_id).customer if meant.car_id and not meant.people else None


def _meant(form: KerbForm, known: dict[str, str]) -> _Meant:
    who = read_who(form.who.data or "")
    car_id = _car_of(who.plate or form.plate.data or "")
    pointed = pointed_at(form.known.data or "", known)
    if pointed is not None:
        return _Meant(frozenset(_known_id(pointed[0])), pointed[1] or car_id, pointed[1] is None)
    person = find_by_phone(reader(), who.phone) if who.phone else None
    return _Meant(frozenset(_known_id(person.id if person else None)), car_id, is_another_car=False)


def _car_of(plate: str) -> int | None:
    vehicle = find_vehicle_by_plate(reader(), [plate_key(plate)]) if plate_key(plate) else None
    return vehicle.id if vehicle else None


def _known_id(key: int | None) -> list[int]:
    return [] if key is None else [key]


def _maybe(form: KerbForm, known: dict[str, str]) -> frozenset[int]:
    """Whoever has such a name, while nobody said who it is."""
    if form.known.data == SOMEBODY_ELSE:
        return frozenset()
    return frozenset(int(each[1:]) for each in known if each.startswith("c"))


def _fits(job: Job, car_id: int | None, *, is_another: bool) -> bool:
    """Whether it can be the job of that car: its own, or one without a car; of a customer's other car neither."""
    if job.vehicle_id is None:
        return True
    return job.vehicle_id == car_id if car_id else not is_another


def _rows(found: list[OpenJob], *, is_bare: bool) -> tuple[tuple[int, str], ...]:
    return tuple((row.job.number, _words(row.job)) for row in found if row.is_bare is is_bare)


def _words(job: Job) -> str:
    car = car_text(job.vehicle, with_plate=True) if job.vehicle else ""
    when = f"drop-off {near_day(job.drop_off_on)}" if job.drop_off_on and job.came_at is None else ""
    return f"Job {job.number}, {', '.join(each for each in (car, when) if each)}: {job.wrong}".replace(", :", ":")


def refuse_second(form: KerbForm, found: OpenJobs) -> int | None:
    """The number of the job to continue, None for a new one. RuleBroken where one is open and nothing was chosen."""
    chosen = form.continues.data or ""
    if found.must_choose and chosen not in {*(str(number) for number, _ in found.bare), ANOTHER}:
        raise RuleBroken(UNSAID, "continues")
    return key_or_none(chosen) if chosen in {str(number) for number, _ in found.bare} else None

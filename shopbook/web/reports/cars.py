"""The cars of the day in words: one title and one short line each, what is late in red."""

from dataclasses import dataclass
from datetime import date

from shopbook.queries.reports.cars import CarToday
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.half_days import half_day_words
from shopbook.trade.next_act import NextStep
from shopbook.web.parts.frame import country, promise_text
from shopbook.web.parts.near import near_words


@dataclass(frozen=True, slots=True)
class CarWords:
    """One row: the car, a red remark, what stands beside it, and whether its press is for today."""

    car: CarToday
    late: str
    words: str
    is_pressing: bool


def words_of_car(car: CarToday, today: date) -> CarWords:
    """What a row says: when it goes out or comes, where it stands, what is left."""
    return (_leaving if car.is_out else _arriving)(car, today)


def _leaving(car: CarToday, today: date) -> CarWords:
    job, told = car.job, promise_text(car.job)
    if job.ready_at is not None:
        out = f"ready, due out {told}" if told else "ready, no day promised"
        return CarWords(car, "", _joined(out, f"key {job.key_number}" if job.key_number else ""), is_pressing=True)
    is_of_today = job.promise_on is not None and job.promise_on <= today
    late, out = _promise(car, told, today)
    return CarWords(car, late, _joined(out, car.place, _left(car)), is_pressing=is_of_today)


def _promise(car: CarToday, told: str, today: date) -> tuple[str, str]:
    """What is late of a promise, in red, and what is beside it."""
    if car.late:
        return car.late.tag_words(today, country().date_form), f"promised {told}"
    if car.job.promise_on is not None and car.job.promise_on < today:
        return f"promised {told}", ""
    return "", f"due out {told}"


def _left(car: CarToday) -> str:
    """The hours left of its plan."""
    return f"{to_tenths(car.hours.to_come_minutes)} left" if car.next.act is NextStep.WORK else ""


def _arriving(car: CarToday, today: date) -> CarWords:
    job, form = car.job, country().date_form
    if job.drop_off_on is None:
        return CarWords(car, "", "", is_pressing=True)
    due = half_day_words(job.drop_off_on, job.drop_off_half, today, form)
    is_past, is_agreed = job.drop_off_on < today, job.agreed_at is not None or job.purpose != "paid"
    missing = "" if is_agreed else "not approved yet"
    was_due = f"was due in {near_words(job.drop_off_on, today)}" if is_past else ""
    late = _joined(was_due, missing, car.late.tag_words(today, form) if car.late else "")
    return CarWords(car, late, "" if is_past else f"due in {due}", is_pressing=True)


def _joined(*words: str) -> str:
    return " · ".join(each for each in words if each)

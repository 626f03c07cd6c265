"""Time off, added to the diary and removed from it; a car moved on the board."""

from datetime import date, timedelta

from shopbook.models.diary import Absence
from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import find_absence, get_absence
from shopbook.queries.shop.book import get_place
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.people import get_person
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.services.jobs.jobs import plan_days
from shopbook.services.postings import write_log
from shopbook.trade.diary.late import Half
from shopbook.trade.errors import RuleBroken

MOST_DAYS = 120
WHOLE_DAY = 1440
LONGEST = 200


def add_absence(
    act: Act,
    *,
    person_id: int,
    first: date,
    last: date | None = None,
    minutes_away: int | None = None,
    why: str = "",
    is_unpaid: bool = False,
) -> int:
    """A person is away on every working day from `first` to `last`, for so many minutes or (None) all day.

    It is paid unless `is_unpaid`. It replaces an absence that the day has already. Answers how many days. RuleBroken
    for a last day before the first, too many days, minutes that are not of one day, or no day on which the shop opens.
    """
    person = get_person(act.session, person_id)
    days = _days(act, first, last or first)
    minutes = WHOLE_DAY if minutes_away is None else minutes_away
    if not 0 < minutes <= WHOLE_DAY:
        raise RuleBroken("Enter up to 24 hours per day, or leave it empty for all day.", "minutes_away")
    if len(why.strip()) > LONGEST:
        raise RuleBroken(f"At most {LONGEST} letters here.", "why")
    for day in days:
        absence = find_absence(act.session, person.id, day)
        if absence is None:
            absence = Absence(person_id=person.id, on=day)
            act.session.add(absence)
        absence.minutes_away, absence.why, absence.is_paid = minutes, why.strip(), not is_unpaid
        act.session.flush()
    span = days[0].isoformat() if len(days) == 1 else f"{days[0].isoformat()} to {days[-1].isoformat()}"
    write_log(act, "add_absence", "person", person.id, f"Time off {span}")
    return len(days)


def remove_absence(act: Act, absence_id: int) -> None:
    """The person is not away after all."""
    absence = get_absence(act.session, absence_id)
    write_log(act, "remove_absence", "person", absence.person_id, f"Removed time off {absence.on.isoformat()}")
    act.session.delete(absence)
    act.session.flush()


def move_car(act: Act, job_id: int, drop_off: Half | None, told: Half | None, place_id: int | None) -> Job:
    """A car on the board gets other days and another place; no other car moves. None: no day, or no place.

    RuleBroken as for `plan_days`, and for a place that is not in use any more.
    """
    comes, back = drop_off or (None, ""), told or (None, "")
    job = plan_days(act, job_id, *comes, *back)
    if place_id is not None and place_id != job.place_id and not get_place(act.session, place_id).is_active:
        raise RuleBroken("That place is not in use any more. Choose another.", "place_id")
    if place_id != job.place_id:
        job.place_id = place_id
        job.revision += 1
        log_job(act, "move_car", job, "Moved the car to another place")
    return job


def _days(act: Act, first: date, last: date) -> list[date]:
    if last < first:
        raise RuleBroken("The last day is before the first. Enter a later day.", "last")
    if last - first >= timedelta(days=MOST_DAYS):
        raise RuleBroken(f"Enter at most {MOST_DAYS} days at a time.", "last")
    days = opening_hours_on(act.session, act.day).working_days(first, last)
    if not days:
        raise RuleBroken("The shop is closed on those days anyway. Enter other days.", "first")
    return days

"""A job from the first call to the hand-over: opened, described, given its days, its moments set, cancelled."""

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy import delete
from sqlalchemy.orm import Session

from shopbook.models.customers import SearchKey
from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.queries.shop.book import country_of, get_book
from shopbook.services.act import Act
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import settle_panels
from shopbook.services.jobs.history import log_job
from shopbook.services.postings import next_number
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.purposes import JobPurpose

CHANGED_MEANWHILE = "Someone else has changed this job since. Look at it now, then make your change again."
SAMPLE_NUMBER = 0
"""Below every series, so that the first job of a shop is 1 or follows on its old ones, sample or not."""
MOST_ODOMETER = 9_999_999


def open_job(
    act: Act,
    *,
    customer_id: int | None,
    vehicle_id: int | None,
    wrong: str,
    payer_kind: str = CustomerKind.PRIVATE,
    purpose: str = JobPurpose.PAID,
    is_sample: bool = False,
    comeback_of_id: int | None = None,
    comeback_why: str = "",
    is_nameless: bool = False,
) -> Job:
    """A new job with the next number; a sample takes none of the series.

    `is_nameless`: a small job done at once, that needs neither. RuleBroken without a customer or a car, or without a
    line that says what is wrong.
    """
    if customer_id is None and vehicle_id is None and not is_nameless:
        raise RuleBroken("Enter a name, a phone number or a {registration}. One is enough.", "who")
    if not wrong.strip():
        raise RuleBroken("Enter what’s wrong, for example “dent in the left front door”.", "wrong")
    job = Job(
        number=SAMPLE_NUMBER if is_sample else next_number(act.session, "job"),
        customer_id=customer_id,
        vehicle_id=vehicle_id,
        purpose=JobPurpose(purpose),
        payer_kind=CustomerKind(payer_kind),
        wrong=wrong.strip(),
        is_sample=is_sample,
        comeback_of_id=comeback_of_id,
        comeback_why=comeback_why,
        opened_at=act.moment,
        opened_on=act.day,
    )
    act.session.add(job)
    act.session.flush()
    act.session.add(
        SearchKey(key=str(job.number), kind="job", job_id=job.id, vehicle_id=vehicle_id, customer_id=customer_id)
    )
    log_job(act, "open_job", job, f"Opened job {job.number}")
    return job


def change_job(
    act: Act,
    job_id: int,
    *,
    revision: int,
    wrong: str,
    payer_kind: str,
    purpose: str,
    customer_id: int | None,
    vehicle_id: int | None,
) -> Job:
    """Change what a job is about, whose it is and who pays; Conflict when somebody else did meanwhile."""
    job = _open_to_change(act.session, job_id, revision)
    if not wrong.strip():
        raise RuleBroken("Enter what’s wrong, for example “dent in the left front door”.", "wrong")
    if customer_id is None and vehicle_id is None:
        raise RuleBroken("A job needs a customer or a car.", "who")
    about = {"wrong": wrong.strip(), "payer_kind": CustomerKind(payer_kind), "purpose": JobPurpose(purpose)}
    if not _set(job, **about, customer_id=customer_id, vehicle_id=vehicle_id):
        return job
    act.session.execute(delete(SearchKey).where(SearchKey.job_id == job.id))
    act.session.add(
        SearchKey(key=str(job.number), kind="job", job_id=job.id, vehicle_id=vehicle_id, customer_id=customer_id)
    )
    log_job(act, "change_job", job, "Changed the job details")
    return job


def keep_desk_facts(
    act: Act,
    job_id: int,
    *,
    revision: int,
    key_number: str = "",
    place_id: int | None = None,
    odometer: int | None = None,
    fuel: str = "",
    lamps_lit: str = "",
    was_there: str = "",
    belongings: str = "",
) -> Job:
    """The strip of facts about the car in the shop. Conflict when somebody else changed the job meanwhile."""
    job = _open_to_change(act.session, job_id, revision)
    if odometer is not None and not 0 <= odometer <= MOST_ODOMETER:
        raise RuleBroken("Enter the {mileage}, from 0 to 9,999,999.", "odometer")
    facts = {"key_number": key_number, "place_id": place_id, "odometer": odometer, "fuel": fuel}
    if _set(job, **facts, lamps_lit=lamps_lit, was_there=was_there, belongings=belongings):
        log_job(act, "keep_desk_facts", job, "Saved key, place and existing damage")
    return job


def _set(job: Job, **values: object) -> bool:
    """Set what differs; whether anything did, so that a press that changed nothing is not logged as a change."""
    changed = {name: value for name, value in values.items() if getattr(job, name) != value}
    for name, value in changed.items():
        setattr(job, name, value)
    return bool(changed)


def check_in(act: Act, job_id: int, *, revision: int, **facts: object) -> Job:
    """The car is here; `facts` are those of `keep_desk_facts`. A second check-in changes the facts alone."""
    job = keep_desk_facts(act, job_id, revision=revision, **facts)  # type: ignore[arg-type]
    if job.came_at is None:
        job.came_at = act.moment
        log_job(act, "check_in", job, "Checked in the car")
    return job


def plan_days(
    act: Act,
    job_id: int,
    drop_off_on: date | None,
    drop_off_half: str,
    promise_on: date | None,
    promise_half: str,
) -> Job:
    """The drop-off day and the promised day. RuleBroken for a day before the job, or out before in."""
    job = get_job_by_id(act.session, job_id)
    refuse_over(job)
    if drop_off_on is not None and drop_off_on < job.opened_on:
        raise RuleBroken("Choose a drop-off day on or after the day the job was opened.", "drop_off_on")
    if promise_on is not None and promise_on < max(drop_off_on or job.opened_on, job.opened_on):
        raise RuleBroken("Choose a promised day on or after the drop-off day.", "promise_on")
    if promise_on is not None and promise_on == drop_off_on and (drop_off_half, promise_half) == _BACKWARDS:
        raise RuleBroken("This car comes in the afternoon, so it cannot go out that morning.", "promise_half")
    comes = {"drop_off_on": drop_off_on, "drop_off_half": _half(drop_off_on, drop_off_half)}
    if _set(job, **comes, promise_on=promise_on, promise_half=_half(promise_on, promise_half)):
        job.revision += 1
        log_job(act, "plan_days", job, "Set the drop-off and promised days")
    return job


_BACKWARDS = (HalfDay.AFTERNOON, HalfDay.MORNING)


def _half(day: date | None, half: str) -> str:
    return "" if day is None or not half else HalfDay(half)


def mark_agreed(
    session: Session,
    now: datetime,
    job: Job,
    group_keys: Collection[str],
    *,
    left_keys: Collection[str] = (),
    said_at: datetime | None = None,
    actor: Actor = THE_PROGRAM,
) -> None:
    """The customer approved these groups: their stages, and those of the whole car, are approved from `said_at`.

    That is `now` unless the approval was given earlier than it was saved.

    Panels under `left_keys` were offered and declined: their stages leave the plan, their damage stays in the book. A
    later approval brings them back.
    """
    settle_panels(Act(session, actor, now), job, taken=group_keys, left=left_keys)
    job.agreed_at = job.agreed_at or said_at or now
    for stage in list_bare_stages(session, job.id):
        if stage.agreed_at is None and stage.quote_group_key in {*group_keys, WHOLE_CAR_GROUP}:
            stage.agreed_at = said_at or now
    session.flush()


def call_off(act: Act, job_id: int, why: str) -> Job:
    """Cancel the job. RuleBroken without a reason, or once the car was handed over."""
    job = get_job_by_id(act.session, job_id)
    if not why.strip():
        raise RuleBroken("Enter the reason, for example price, time or no answer.", "why")
    if job.handed_over_at is not None:
        raise RuleBroken("This car was handed over, so the job can no longer be {cancelled}.")
    job.called_off_at = job.called_off_at or act.moment
    job.called_off_why = why.strip()[:200]
    job.revision += 1
    log_job(act, "call_off", job, country_of(get_book(act.session)).say("{Cancelled} the job"))
    return job


def take_up_again(act: Act, job_id: int) -> Job:
    """Reopen a cancelled job."""
    job = get_job_by_id(act.session, job_id)
    job.called_off_at, job.called_off_why = None, ""
    job.revision += 1
    log_job(act, "take_up_again", job, "Reopened the job")
    return job


def _open_to_change(session: Session, job_id: int, revision: int) -> Job:
    job = get_job_by_id(session, job_id)
    if job.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    refuse_over(job)
    job.revision += 1
    return job

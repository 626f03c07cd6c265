"""Makers of the diary and of a morning: two technicians, cars that are promised, everything that Today can show."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.floor import Attendance, RunningClock
from shopbook.models.jobs import Job
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.floor.spoken import note_wants_call
from shopbook.services.jobs.jobs import check_in, plan_days
from shopbook.services.jobs.leaving import mark_ready
from shopbook.services.jobs.parts import add_part, order_part
from shopbook.services.money.approvals import ask_again
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.floor.coat_waits import Touch
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import THE_PROGRAM, Actor, Role
from tests.makers.floor import THURSDAY, at, make_wait
from tests.makers.jobs import make_planned_job, make_stage
from tests.makers.quotes import make_given_quote, make_yes
from tests.makers.shelf import make_delivery, make_material, make_supplier
from tests.makers.shop import make_person

WEDNESDAY = date(2026, 11, 4)
FRIDAY = date(2026, 11, 6)
MONDAY = date(2026, 11, 9)
_MONDAY_MORNING = at("9:00", date(2026, 11, 2))


def make_hands(session: Session, body: str = "Sam", paint: str = "Dana") -> tuple[Actor, Actor]:
    """Sam who does the body work and the details, Dana who paints; both there whenever the shop is."""
    return (
        make_person(session, body, Role.TECHNICIAN, skills=("body", "detail")),
        make_person(session, paint, Role.TECHNICIAN, skills=("paint",)),
    )


def make_promised_job(
    session: Session,
    *panels: str,
    comes: date | None = THURSDAY,
    back: date | None = FRIDAY,
    is_here: bool = False,
    half_in: str = "morning",
    half_back: str = "afternoon",
    **given: Any,
) -> Job:
    """An agreed job with a drafted plan that comes on one day and is promised for another."""
    job = make_planned_job(session, *panels, is_agreed=True, **given)
    plan_days(Act(session, THE_PROGRAM, job.opened_at), job.id, comes, half_in, back, half_back)
    if is_here:
        check_in(Act(session, THE_PROGRAM, at("7:50", comes or THURSDAY)), job.id, revision=job.revision)
    return job


def make_morning(session: Session, paint: str = "Dana", rounds: int = 1) -> None:
    """Everything that Today can show, `rounds` times over, as it stands on Thursday morning."""
    sam, dana = make_hands(session, paint=paint)
    for _ in range(rounds):
        _make_cars(session)
        _make_yeses(session, sam)
        _make_late_things(session, dana)
    session.add(
        Attendance(
            person_id=dana.person_id,
            on=WEDNESDAY,
            came_at=at("8:00", WEDNESDAY),
            went_at=at("16:30", WEDNESDAY),
            at=at("16:30", WEDNESDAY),
            by_person_id=dana.person_id,
        )
    )
    session.add(RunningClock(person_id=dana.person_id, started_at=at("15:00", WEDNESDAY), what="cleaning"))
    session.flush()


def _make_cars(session: Session) -> None:
    make_promised_job(session, at=_MONDAY_MORNING)
    out = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, is_here=True, at=_MONDAY_MORNING)
    first = list_stages(session, out.id)[0]
    first.begun_at, first.finished_at = at("8:00", WEDNESDAY), at("7:30")
    make_wait(session, first, 180, 24 * 60, adds=StageCode.SCUFF_PRIMER, opens=Touch.FIT)
    make_yes(session, make_given_quote(session, out, at=_MONDAY_MORNING), at=_MONDAY_MORNING)
    ready = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, is_here=True, at=_MONDAY_MORNING)
    mark_ready(Act(session, THE_PROGRAM, at("15:00", WEDNESDAY)), ready.id, with_open_stages=True)


def _make_yeses(session: Session, sam: Actor) -> None:
    insured = make_planned_job(session, payer_kind="insurer", at=_MONDAY_MORNING)
    quote = make_given_quote(session, insured, at=_MONDAY_MORNING)
    make_yes(session, quote, at=_MONDAY_MORNING)
    ask_again(Act(session, THE_PROGRAM, at("15:20", WEDNESDAY)), quote.id, "payer")
    found = make_stage(session, insured, "Left sill", purpose="extra")
    doing = Doing(stage_ids=(found.id,))
    interval = Interval(at("13:00", WEDNESDAY), at("13:24", WEDNESDAY))
    write_entry(Act(session, sam, interval.ends_at), sam.person_id or 0, interval, doing)
    make_given_quote(session, make_planned_job(session, at=_MONDAY_MORNING), at=_MONDAY_MORNING)
    note_wants_call(Act(session, sam, at("8:10")), insured.id, "about the sill")


def _make_late_things(session: Session, dana: Actor) -> None:
    job = make_promised_job(session, comes=WEDNESDAY, back=MONDAY, is_here=True, at=_MONDAY_MORNING)
    supplier = make_supplier(session, f"Trim {job.number}", phone="555-0190")
    part = add_part(Act(session, dana, at("9:00", WEDNESDAY)), job.id, name="Wing liner", supplier_id=supplier.id)
    order_part(Act(session, dana, at("9:00", WEDNESDAY)), part.id, WEDNESDAY)
    list_stages(session, job.id)[3].waits_for_part_id = part.id
    spoils = make_material(session, f"Hardener {job.number}", role="")
    make_delivery(session, spoils, expires_on=date(2026, 11, 20))
    session.flush()

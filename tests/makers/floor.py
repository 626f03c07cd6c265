"""Makers of the floor: a technician, agreed stages of a car in the shop, moments of the makers' Thursday."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import delete, insert
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry
from shopbook.models.jobs import Job, Stage, StageUse, StageWait
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.history import keep_version
from shopbook.services.jobs.writing import wait_row
from shopbook.trade.floor.coat_waits import CoatWait, Touch
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import THE_PROGRAM, Actor, Role
from tests.makers.jobs import make_job, make_stage
from tests.makers.shop import STARTED, make_person

THURSDAY = date(2026, 11, 5)
ZONE = ZoneInfo("America/New_York")


def at(clock: str, day: date = THURSDAY) -> datetime:
    """A moment by the makers' shop's wall clock: "9:40" of Thursday 5 November 2026 unless another day is given."""
    hours, minutes = clock.split(":")
    return datetime.combine(day, time(int(hours), int(minutes)), ZONE).astimezone(UTC)


def make_painter(session: Session, name: str = "Dana", cost: int = 3000) -> Actor:
    """A technician who paints, at 30.00 an hour."""
    return make_person(session, name, Role.TECHNICIAN, skills=("paint",), cost=cost)


def make_work(session: Session, name: str = "Guide coat, block", minutes: int = 60, **given: Any) -> Stage:
    """One agreed stage, by itself on a job of its own unless one is given, whose car is here since the morning."""
    job = given.pop("job", None) or make_open_job(session)
    is_agreed = given.pop("is_agreed", True)
    stage = make_stage(session, job, name, **({"minutes": minutes, "skill": "paint"} | given))
    stage.agreed_at = STARTED if is_agreed else None
    session.flush()
    return stage


def make_open_job(session: Session, **given: Any) -> Job:
    """An agreed job whose car stands in the shop."""
    job = make_job(session, **given)
    job.agreed_at = STARTED
    job.came_at = at("7:50")
    session.flush()
    return job


def make_use(session: Session, stage: Stage, role: str, ml: int, **given: Any) -> StageUse:
    """So many ml of a role planned on a stage, as a part of its clear, and the version of the plan that says so."""
    plain: dict[str, Any] = {
        "unit": "ml",
        "way": "measured",
        "mix": "clear_medium",
        "material_id": None,
        "guess_cost_minor": None,
        "is_touched": False,
        "reason": "",
    }
    use = StageUse(stage_id=stage.id, role=role, amount_thousandths=ml * 1000, **(plain | given))
    session.add(use)
    session.flush()
    job = session.get_one(Job, stage.job_id)
    keep_version(Act(session, THE_PROGRAM, STARTED), job, f"Changed the materials of {stage.name}")
    return use


def make_entry(session: Session, person: Actor, stage: Stage, begins: str, ends: str, **given: Any) -> ClockEntry:
    """A finished clock entry of Thursday on one stage."""
    interval = Interval(at(begins), at(ends))
    assert person.person_id is not None
    entry = write_entry(
        Act(session, person, interval.ends_at), person.person_id, interval, Doing(stage_ids=(stage.id,)), **given
    )
    assert entry is not None
    return entry


def later(moment: datetime, minutes: int) -> datetime:
    """So many minutes later."""
    return moment + timedelta(minutes=minutes)


def make_wait(session: Session, stage: Stage, minutes: int = 0, shuts: int | None = None, **given: Any) -> None:
    """What a stage puts on the whole car dries so many minutes before it is sanded, in place of what it waited for.

    With `adds` a window is meant, for the next coat, unless `opens` says otherwise.
    """
    touch = Touch.COAT if given.get("adds") else Touch.SAND
    wait = CoatWait(
        "", "other", given.pop("opens", touch), not_before_minutes=minutes, not_after_minutes=shuts, **given
    )
    session.execute(delete(StageWait).where(StageWait.stage_id == stage.id))
    session.execute(insert(StageWait), [wait_row(stage.id, wait)])
    session.flush()

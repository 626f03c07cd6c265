"""What was put right free: by job and cause, a comeback beside its first job, adding up to what the month counts."""

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.money.costs import list_costs
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.put_right import PutRight, list_put_right, materials_per_paint_hour
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.floor.hours import Interval
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.permissions import Actor
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_work
from tests.makers.shelf import make_delivery, make_material

NOVEMBER = date(2026, 11, 3)
MONTH = month_bounds("2026-11")


def worked(session: Session, who: Actor, job: Job, begins: str, **given: object) -> int:
    """An hour on a stage of the job, at 31.00; the key of the stage."""
    assert who.person_id is not None
    stage = make_work(session, job=job, **given)
    span = Interval(at(begins, NOVEMBER), at(begins, NOVEMBER) + timedelta(hours=1))
    write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(stage.id,)))
    return stage.id


def test_rework_stands_by_its_cause_and_a_comeback_beside_its_first_job(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job, gone = make_agreed_job(session, now), make_agreed_job(session, now)
    gone.handed_over_at = now
    back = open_comeback(act, gone.id, wrong="clear has dulled")
    worked(session, owner, job, "8:00")
    stage_id = worked(session, owner, job, "9:00", purpose="rework", why="Fish-eyes on Clear")
    clear = make_material(session)
    make_delivery(session, clear)
    draw_stock(Act(session, owner, at("9:30", NOVEMBER)), clear, 250_000, Source(job_id=job.id, stage_id=stage_id))
    worked(session, owner, back, "10:00")
    found = list_put_right(session, list_costs(session, first=date(2026, 11, 1), last=date(2026, 11, 30)))
    assert found == [
        PutRight(job.number, "Fish-eyes on Clear", None, 3100 + 1000),
        PutRight(back.number, "clear has dulled", gone.number, 3100),
    ]
    assert sum(row.cost_minor for row in found) == get_month_end(session, "2026-11").all_jobs.costs.rework_minor


def test_materials_are_told_for_each_hour_of_paint_and_not_without_one(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_agreed_job(session, now)
    worked(session, owner, job, "8:00", skill="body")
    assert materials_per_paint_hour(session, *MONTH, 5000) is None
    worked(session, owner, job, "9:00", skill="paint")
    worked(session, owner, job, "10:00", skill="paint")
    assert materials_per_paint_hour(session, *MONTH, 5000) == 2500

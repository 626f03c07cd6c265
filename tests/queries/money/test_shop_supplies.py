"""Packs opened for the shop floor: the jobs of their month carry them by hours, on the job's page as in the month."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.money.costs import list_costs, sum_by_job
from shopbook.queries.money.margins import job_margin
from shopbook.queries.reports.month import get_month_end
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.shelf.stock import open_pack
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_use, make_work
from tests.makers.shelf import make_delivery, make_material

OCTOBER = date(2026, 10, 20)
NOVEMBER = date(2026, 11, 3)


def opened(session: Session, who: Actor, day: date, cost: int) -> None:
    """One box of something for the floor that cost so much, opened on a day."""
    box = make_material(session, f"Wipes of {day}", way="shop_supplies", role="", pack_price_minor=cost)
    make_delivery(session, box)
    open_pack(Act(session, who, at("8:00", day)), box, on=day)


def worked(session: Session, who: Actor, job: Job, day: date, begins: str, hours: int) -> None:
    assert who.person_id is not None
    stage = make_work(session, job=job)
    span = Interval(at(begins, day), at(begins, day) + timedelta(hours=hours))
    write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(stage.id,)))


def two_months(session: Session, owner: Actor) -> tuple[Job, Job]:
    """October opened 40.00 for three hours on the first job and one on the second, November 9.99 for one hour."""
    first, second = (make_agreed_job(session, at("8:00", OCTOBER)) for _ in range(2))
    opened(session, owner, OCTOBER, 4000)
    worked(session, owner, first, OCTOBER, "8:00", 3)
    worked(session, owner, second, OCTOBER, "11:00", 1)
    opened(session, owner, NOVEMBER, 999)
    worked(session, owner, first, NOVEMBER, "8:00", 1)
    return first, second


def carried(session: Session, jobs: list[Job], **span: date) -> dict[int, int]:
    """The shares of these jobs in minor units by id, zero left out."""
    sums = sum_by_job(list_costs(session, jobs=[job.id for job in jobs], **span))
    return {job_id: costs.supplies_minor for job_id, costs in sums.items() if costs.supplies_minor}


def test_the_jobs_of_a_month_carry_its_shop_floor_by_their_hours(session: Session, owner: Actor) -> None:
    first, second = two_months(session, owner)
    assert carried(session, [first, second]) == {first.id: 3000 + 999, second.id: 1000}
    assert carried(session, [first], last=OCTOBER) == {first.id: 3000}
    assert carried(session, [first], first=NOVEMBER) == {first.id: 999}
    assert list_costs(session, jobs=[]) == []


def test_the_share_of_a_month_that_runs_is_of_what_was_opened_so_far_by_the_hours_so_far(
    session: Session, owner: Actor
) -> None:
    """10.00 opened on the 3rd, 20.00 on the 20th. By the 10th only the first job was worked on: it carries 10.00; by
    the month's end one hour of two is its: 15.00 of 30.00."""
    first, second = (make_agreed_job(session, at("8:00", NOVEMBER)) for _ in range(2))
    opened(session, owner, NOVEMBER, 1000)
    worked(session, owner, first, NOVEMBER, "8:00", 1)
    opened(session, owner, date(2026, 11, 20), 2000)
    worked(session, owner, second, date(2026, 11, 20), "8:00", 1)
    assert carried(session, [first, second], last=date(2026, 11, 10)) == {first.id: 1000}
    assert carried(session, [first, second], last=date(2026, 11, 30)) == {first.id: 1500, second.id: 1500}


def test_the_month_and_the_page_of_a_job_say_the_same_of_it(session: Session, owner: Actor) -> None:
    first, second = two_months(session, owner)
    october, november = (get_month_end(session, month) for month in ("2026-10", "2026-11"))
    assert [october.by_job[str(job.number)].month.costs.supplies_minor for job in (first, second)] == [3000, 1000]
    row = november.by_job[str(first.number)]
    assert (row.before.costs.supplies_minor, row.month.costs.supplies_minor) == (3000, 999)
    assert row.whole.margin_minor == job_margin(session, first.id, NOVEMBER).margin.so_far.margin_minor
    assert (november.all_jobs.costs.supplies_minor, november.supplies_on_no_job_minor, november.faults) == (999, 0, ())


def test_a_pack_opened_while_no_clock_ran_on_a_car_is_in_the_cost_and_in_no_row(session: Session, owner: Actor) -> None:
    opened(session, owner, NOVEMBER, 999)
    november = get_month_end(session, "2026-11")
    assert (november.by_job, november.all_jobs.margin_minor, november.supplies_on_no_job_minor) == ({}, -999, 999)


def test_what_the_floor_is_planned_to_give_is_to_come_until_its_stage_is_done(session: Session, owner: Actor) -> None:
    job = make_agreed_job(session, at("8:00", OCTOBER))
    stage = make_work(session, job=job)
    make_use(session, stage, "wipes", 1, way="shop_supplies", guess_cost_minor=250)
    session.expire_all()
    assert job_margin(session, job.id, OCTOBER).to_come.supplies_minor == 250
    stage.finished_at = at("9:00", OCTOBER)
    session.flush()
    found = job_margin(session, job.id, OCTOBER)
    assert (found.margin.planned.costs.supplies_minor, found.to_come.supplies_minor) == (250, 0)

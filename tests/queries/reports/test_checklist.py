"""What a month's close asks to be seen to first: each line appears with its cause and goes with it."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import PersonCost
from shopbook.queries.reports.checklist import list_to_see
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.parts import add_part, part_came, send_part_back
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.stock import waste_stock
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from tests.makers import make_book
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_open_job, make_painter, make_work
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import forget_costs

MONTH = "2026-11"
NOVEMBER = date(2026, 11, 3)


def said(session: Session, now: datetime, month: str = MONTH) -> list[tuple[str, str]]:
    return [(row.words, row.below) for row in list_to_see(session, month, now)]


def work_an_hour(session: Session, who: Actor, stage_id: int) -> None:
    assert who.person_id is not None
    span = Interval(at("9:00", NOVEMBER), at("10:00", NOVEMBER))
    write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(stage_id,)))


def test_a_month_without_anything_asks_nothing(session: Session, now: datetime) -> None:
    assert said(session, now) == []


def test_an_invoiced_job_with_a_plan_and_no_hour_is_named_until_somebody_was_clocked_on_it(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job, quick = make_agreed_job(session, now), make_agreed_job(session, now)
    stage = make_work(session, job=job)
    for each in (job, quick):
        issue_invoice(act, each.id)
    asked = ("Invoiced, but no hours on it", f"job {job.number}")
    assert said(session, now) == [asked]
    assert said(session, now, "2026-10") == []
    work_an_hour(session, owner, stage.id)
    assert said(session, now) == []


def test_who_worked_and_whose_hour_has_no_cost_is_named_until_it_is_said_even_as_zero(
    session: Session, owner: Actor, now: datetime
) -> None:
    stage = make_work(session)
    forget_costs(session)
    assert said(session, now) == []
    work_an_hour(session, owner, stage.id)
    assert said(session, now) == [("No cost per hour yet", owner.name)]
    session.add(PersonCost(person_id=owner.person_id, cost_minor=0, from_on=NOVEMBER))
    assert said(session, now) == []


def test_a_clock_that_runs_is_named_and_one_begun_after_the_month_is_not(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    start_clock(act, [make_work(session).id])
    assert said(session, now) == [("Clock still running", owner.name)]
    assert said(session, now, "2026-10") == []


def test_a_car_that_left_without_its_invoice_is_named(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    job.handed_over_on = now.date()
    assert said(session, now) == [("Handed over, not invoiced", f"job {job.number}")]
    issue_invoice(act, job.id)
    assert said(session, now) == []


def test_a_part_sent_back_is_named_until_its_credit_came(session: Session, now: datetime, act: Act) -> None:
    job = make_open_job(session)
    part = add_part(act, job.id, name="Lamp", cost_minor=5000)
    part_came(act, part.id)
    send_part_back(act, part.id)
    assert said(session, now) == [("Part sent back, no credit yet", f"job {job.number}, Lamp")]
    part.credit_came_at = now
    assert said(session, now) == []


def test_work_without_a_yes_is_named_with_its_stage(session: Session, owner: Actor, now: datetime) -> None:
    stage = make_work(session, "Guide coat, block", is_agreed=False)
    work_an_hour(session, owner, stage.id)
    ((words, below),) = said(session, now)
    assert words == "Work not approved"
    assert below.endswith("Guide coat, block")


def test_what_was_drawn_beyond_the_book_is_named_until_it_is_counted(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    clear = make_material(session)
    make_delivery(session, clear)
    waste_stock(act, clear, 1_500_000, cause="spilt")
    assert said(session, now) == [("You used more than the book says you had", clear.name)]
    count_materials(Act(session, owner, now + timedelta(minutes=1)), [(clear.id, 1_000_000)], reason="looked")
    assert said(session, now) == []


@pytest.mark.postgresql
def test_the_list_is_the_same_on_postgresql(postgres_url: str, now: datetime) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        who, job = make_painter(session), make_agreed_job(session, now)
        make_work(session, job=job)
        issue_invoice(Act(session, who, now), job.id)
        forget_costs(session)
        work_an_hour(session, who, make_work(session).id)
        assert said(session, now) == [
            ("Invoiced, but no hours on it", f"job {job.number}"),
            ("No cost per hour yet", who.name),
        ]
    engine.dispose()

"""The odds of a promise: from the hours of the cars that left, and only once there are enough of them."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import make_engine, transaction
from shopbook.queries.diary.odds import LAST_CARS, list_car_hours
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.trade.diary.odds import FEWEST
from shopbook.trade.floor.hours import Interval
from shopbook.trade.measures.days import DateForm
from shopbook.trade.permissions import Actor
from tests.asking import suggest_days
from tests.makers import make_book
from tests.makers.diary import make_hands
from tests.makers.floor import THURSDAY, at, make_painter, make_work
from tests.makers.jobs import make_job, make_planned_job

MORNING = at("7:30")
LAST_WEEK = THURSDAY - timedelta(days=7)


def make_gone_car(session: Session, who: Actor, planned: int, clocked: int, **given: object) -> Job:
    """A car that left last week, with a stage planned and clocked so many minutes."""
    job = make_job(session)
    stage = make_work(session, job=job, minutes=planned, **given)
    if clocked:
        assert who.person_id is not None
        span = Interval(at("8:00", LAST_WEEK), at("8:00", LAST_WEEK) + timedelta(minutes=clocked))
        write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(stage.id,)))
    job.handed_over_at = at("16:00", LAST_WEEK)
    session.flush()
    return job


def test_a_car_counts_with_the_stages_that_were_clocked_if_they_are_most_of_it(session: Session, owner: Actor) -> None:
    job = make_gone_car(session, owner, 120, 150)
    gone_at, job.handed_over_at = job.handed_over_at, None
    other = make_work(session, job=job, minutes=119)
    job.handed_over_at = gone_at
    session.flush()
    assert list_car_hours(session) == [(120, 150)]
    other.planned_minutes = 120
    session.flush()
    assert list_car_hours(session) == []


@pytest.mark.parametrize("purpose", ["rework", "goodwill", "extra"])
def test_only_what_was_planned_counts(session: Session, owner: Actor, purpose: str) -> None:
    make_gone_car(session, owner, 60, 90, purpose=purpose)
    assert list_car_hours(session) == []


def test_cars_that_are_here_own_cars_and_the_sample_do_not_count(session: Session, owner: Actor) -> None:
    here, own, sample = (make_gone_car(session, owner, 60, 90) for _ in range(3))
    here.handed_over_at, own.purpose, sample.is_sample = None, "comeback", True
    session.flush()
    assert list_car_hours(session) == []


def test_only_the_last_cars_count(session: Session, owner: Actor) -> None:
    for number in range(LAST_CARS + 1):
        job = make_gone_car(session, owner, 60, 30 if number == 0 else 60)
        job.handed_over_at = at("16:00", LAST_WEEK) + timedelta(minutes=number)
    session.flush()
    assert list_car_hours(session) == [(60, 60)] * LAST_CARS


def test_a_promise_says_its_odds_once_thirty_cars_took_longer_than_planned(session: Session, owner: Actor) -> None:
    make_hands(session)
    job = make_planned_job(session, "right_quarter", "bonnet")
    for _ in range(FEWEST - 1):
        make_gone_car(session, owner, 60, 180)
    few = suggest_days(session, job.id, MORNING)
    assert few.odds(THURSDAY, DateForm.DAY_FIRST) == ""
    make_gone_car(session, owner, 60, 180)
    offered = suggest_days(session, job.id, MORNING)
    assert offered.promise == few.promise
    assert offered.most is not None
    assert offered.promise is not None
    assert offered.most.ready_at > offered.promise.ready_at
    said = offered.odds(THURSDAY, DateForm.DAY_FIRST)
    assert said.startswith("8 in 10 ready by ")
    assert said.endswith("judging by the last 30 cars.")


def test_cars_that_kept_to_their_hours_leave_the_promise_as_it_is(session: Session, owner: Actor) -> None:
    make_hands(session)
    job = make_planned_job(session)
    for _ in range(FEWEST):
        make_gone_car(session, owner, 60, 45)
    assert suggest_days(session, job.id, MORNING).odds(THURSDAY, DateForm.DAY_FIRST) == ""


@pytest.mark.postgresql
def test_past_cars_are_the_same_on_postgresql(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        who = make_painter(session)
        for clocked in (50, 90):
            make_gone_car(session, who, 60, clocked)
        assert sorted(list_car_hours(session)) == [(60, 50), (60, 90)]
    engine.dispose()

"""A car that cannot go out as promised is found by one rule, with the same figure for whoever asks."""

from datetime import timedelta

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.diary.board import board_of, read_board
from shopbook.queries.diary.later import late_by, late_cars, list_later
from shopbook.queries.jobs.whole import whole_jobs
from shopbook.queries.reports.today import get_today
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.diary.opening import HalfDay
from tests.asking import suggest_days
from tests.house.test_query_plans import watching
from tests.makers.diary import MONDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY, at

MORNING = at("7:30")


def late_and_kept(session: Session) -> tuple[Job, Job]:
    """One car promised for the afternoon of the day it comes, and one with weeks in hand."""
    make_hands(session)
    late = make_promised_job(session, comes=THURSDAY, back=THURSDAY, is_here=True)
    kept = make_promised_job(session, comes=THURSDAY, back=MONDAY + timedelta(days=21))
    return late, kept


def test_upgrade_today_diary_and_the_page_of_the_job_say_the_same(session: Session) -> None:
    late, kept = late_and_kept(session)
    offered = suggest_days(session, late.id, MORNING)
    found = late_by(late, offered)
    assert found is not None
    assert offered.promise is not None
    assert found.told == (THURSDAY, HalfDay.AFTERNOON)
    assert found.ready == (offered.promise.collect_on, offered.promise.collect_half)
    assert found.why == offered.reasons
    assert late_by(kept, suggest_days(session, kept.id, MORNING)) is None
    assert list_later(session, MORNING) == {late.number: found}
    assert [(car.job.id, car.late) for car in get_today(session, MORNING).cars if car.late] == [(late.id, found)]
    assert board_of(read_board(shop_at(session, MORNING), THURSDAY, MORNING)).late == {late.id: found}


def test_a_car_that_is_ready_gone_or_without_a_day_is_not_late(session: Session) -> None:
    late, _ = late_and_kept(session)
    for moment in ("ready_at", "handed_over_at", "called_off_at"):
        setattr(late, moment, MORNING)
        session.flush()
        assert list_later(session, MORNING) == {}
        setattr(late, moment, None)
    late.promise_on = None
    session.flush()
    assert list_later(session, MORNING) == {}


def test_ten_late_cars_cost_no_more_statements_than_one(session: Session) -> None:
    late, _ = late_and_kept(session)
    jobs, engine = [late], session.get_bind()
    assert isinstance(engine, Engine)

    def ask() -> tuple[int, int]:
        shop = shop_at(session, MORNING)
        wholes = whole_jobs(session, jobs)
        with watching(engine) as watch:
            found = late_cars(shop, wholes.values(), MORNING)
        return len(found), watch.statements

    one = ask()
    jobs += [make_promised_job(session, comes=THURSDAY, back=THURSDAY, is_here=True) for _ in range(9)]
    many = ask()
    assert (one[0], many[0]) == (1, 10)
    assert one[1] == many[1]

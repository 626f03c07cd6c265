"""The desk's morning: what is on it, in which order, and that it is asked in a fixed number of statements."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.queries.diary.board import board_of, read_board
from shopbook.queries.reports.today import Today, get_today
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.floor.spoken import note_wants_call
from shopbook.services.jobs.parts import add_part, order_part, part_came
from shopbook.services.money.approvals import ask_again
from shopbook.trade.permissions import THE_PROGRAM
from tests.house.test_query_plans import watching
from tests.makers import make_book
from tests.makers.diary import FRIDAY, MONDAY, WEDNESDAY, make_hands, make_morning, make_promised_job
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_yes

MOST_STATEMENTS = 105

MORNING = at("9:40")


def asked(session: Session) -> Today:
    return get_today(session, MORNING)


def test_what_goes_out_stands_before_what_comes_in_and_tomorrow_last(session: Session) -> None:
    tomorrow = make_promised_job(session, comes=WEDNESDAY, back=FRIDAY, is_here=True)
    coming = make_promised_job(session, comes=THURSDAY, back=MONDAY)
    afternoon = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, is_here=True)
    morning = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, half_back="morning", is_here=True)
    make_promised_job(session, comes=FRIDAY, back=MONDAY)
    today = asked(session)
    order = [car.job.number for car in today.cars]
    assert order == [morning.number, afternoon.number, coming.number, tomorrow.number]
    assert (today.in_shop, today.coming, today.going) == (3, 1, 2)


def test_a_late_car_and_one_that_never_came_are_still_there(session: Session) -> None:
    late = make_promised_job(session, comes=WEDNESDAY, back=WEDNESDAY, is_here=True)
    missing = make_promised_job(session, comes=WEDNESDAY, back=MONDAY)
    assert [car.job.number for car in asked(session).cars] == [late.number, missing.number]


def test_a_first_quote_waits_for_an_answer_and_agreed_work_for_a_yes(session: Session) -> None:
    make_morning(session)
    today = asked(session)
    assert [row.asked.party for row in today.approvals] == ["payer"]
    assert today.approvals[0].risk_minor == today.approvals[0].asked.gross_minor
    assert [row.work.stage for row in today.unagreed] == ["Left sill"]
    assert [kind for kind, _ in (*today.found, *today.asked)] == ["unagreed", "approval", "quote"]
    assert len(today.quotes) == 1
    assert today.quotes[0].job.agreed_at is None


def test_a_quote_that_got_its_yes_is_asked_about_no_more(session: Session) -> None:
    quote = make_given_quote(session, make_planned_job(session))
    assert [row.quote.id for row in asked(session).quotes] == [quote.id]
    make_yes(session, quote)
    assert asked(session).quotes == ()


def test_parts_calls_lots_and_hours_of_yesterday_are_on_it(session: Session) -> None:
    make_morning(session)
    today = asked(session)
    assert [(row.part.name, bool(row.stage)) for row in today.parts] == [("Wing liner", True)]
    assert [row.wanted.noted_by for row in today.calls] == ["Sam"]
    assert len(today.expiring) == 1
    assert [(row.name, row.to_place_minutes) for row in today.unplaced] == [("Dana", 480)]
    assert [row.name for row in today.late_clocks] == ["Dana"]
    assert today.yesterday_on == WEDNESDAY


def test_a_part_that_came_is_off_the_page(session: Session) -> None:
    make_morning(session)
    part_came(Act(session, THE_PROGRAM, MORNING), asked(session).parts[0].part.id)
    assert asked(session).parts == ()


def test_a_running_wait_stands_with_its_window(session: Session) -> None:
    make_morning(session)
    (wait,) = asked(session).waits
    assert wait.ready_at == at("10:30")
    assert wait.shuts_at == at("7:30", FRIDAY)


def test_hours_of_the_day_are_those_of_the_diary(session: Session) -> None:
    make_hands(session)
    make_promised_job(session, comes=THURSDAY, back=THURSDAY)
    hours = {one.skill: one for one in asked(session).hours}
    assert hours["paint"].there_minutes == 480
    assert hours["body"].promised_minutes > 0


def test_the_number_of_statements_does_not_grow_with_what_is_on_it(session: Session) -> None:
    def count() -> int:
        session.flush()
        session.expire_all()
        with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
            asked(session)
        return watch.statements

    make_morning(session)
    few = count()
    assert few <= MOST_STATEMENTS
    for place in range(3):
        late = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, is_here=True)
        insured = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, payer_kind="insurer")
        quote = make_given_quote(session, insured, at=at("8:00", WEDNESDAY - timedelta(days=place)))
        make_yes(session, quote, at=at("8:30", WEDNESDAY))
        ask_again(Act(session, THE_PROGRAM, at("8:40", WEDNESDAY)), quote.id, "payer")
        note_wants_call(Act(session, THE_PROGRAM, at("8:50")), late.id)
        order_part(
            Act(session, THE_PROGRAM, MORNING),
            add_part(Act(session, THE_PROGRAM, MORNING), late.id, name="Lamp").id,
            THURSDAY,
        )
        make_given_quote(session, make_planned_job(session))
        make_given_quote(session, make_planned_job(session, payer_kind="insurer"))
    assert count() == few


@pytest.mark.postgresql
def test_the_morning_is_the_same_on_postgresql(session: Session, postgres_url: str) -> None:
    make_morning(session)
    here = asked(session)
    engine = make_engine(postgres_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_morning(opened)
        there = asked(opened)
        board = board_of(read_board(shop_at(opened, MORNING), THURSDAY, MORNING))
        numbers = [car.job.number for car in there.cars]
    assert there.hours == here.hours
    assert numbers == [car.job.number for car in here.cars]
    assert [wait.ready_at for wait in there.waits] == [wait.ready_at for wait in here.waits]
    assert board.counts == board_of(read_board(shop_at(session, MORNING), THURSDAY, MORNING)).counts
    engine.dispose()

"""The board: hours promised against hours there, cars at their places, sessions, and who is late or has not come."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.shop import ClosedDay, Place
from shopbook.queries.diary.board import Board, BoardCar, board_of, read_board
from shopbook.queries.diary.hours import SkillHours, hours_of_today, sum_hours
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.services.act import Act
from shopbook.services.diary import add_absence
from shopbook.services.jobs.leaving import mark_ready
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.diary.board import StayState
from shopbook.trade.permissions import THE_PROGRAM, Role
from tests.house.test_query_plans import watching
from tests.makers.diary import FRIDAY, MONDAY, WEDNESDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job, make_stage
from tests.makers.shop import STARTED, make_person

MORNING = at("7:30")
TUESDAY, THURSDAY_AFTER = MONDAY + timedelta(days=1), MONDAY + timedelta(days=3)
MONDAY_BEFORE = at("9:00", date(2026, 11, 2))


def board(session: Session, first: date = THURSDAY, now: datetime = MORNING) -> Board:
    session.flush()
    return board_of(read_board(shop_at(session, now), first, now))


def there(session: Session, day: date, skill: str) -> int:
    return sum(one.there_minutes for one in board(session).hours[day] if one.skill == skill)


def promised(session: Session, day: date) -> int:
    return sum(one.promised_minutes for one in board(session).hours[day])


def car_of(shown: Board, job: Job) -> BoardCar:
    return next(car for car in shown.cars if car.job.id == job.id)


def place_named(session: Session, name: str) -> Place:
    return session.query(Place).filter(Place.name == name).one()


def test_today_and_the_next_five_working_days_stand_across(session: Session) -> None:
    assert board(session).days == (THURSDAY, FRIDAY, MONDAY, TUESDAY, MONDAY + timedelta(days=2), THURSDAY_AFTER)
    session.add(ClosedDay(closed_on=MONDAY, why="stocktaking"))
    session.flush()
    shown = board(session, date(2026, 11, 7))
    assert shown.days[0] == TUESDAY
    assert board(session).closed[MONDAY] == "stocktaking"


def test_everything_left_of_a_promised_job_stands_between_its_days(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=THURSDAY, back=FRIDAY)
    planned = sum(stage.planned_minutes for stage in list_stages(session, job.id))
    assert promised(session, THURSDAY) + promised(session, FRIDAY) == planned
    assert promised(session, THURSDAY) > 0 < promised(session, FRIDAY)
    assert car_of(board(session), job).left_minutes == planned


def test_finished_stages_and_ready_cars_ask_for_no_more_hours(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=THURSDAY, back=THURSDAY)
    before = promised(session, THURSDAY)
    first = list_stages(session, job.id)[0]
    first.finished_at = MORNING
    assert promised(session, THURSDAY) == before - first.planned_minutes
    job.ready_at = MORNING
    assert promised(session, THURSDAY) == 0


def test_a_job_past_its_promise_counts_today(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=WEDNESDAY, back=WEDNESDAY, is_here=True)
    assert promised(session, THURSDAY) == sum(stage.planned_minutes for stage in list_stages(session, job.id))


def test_hours_there_are_weeks_over_opening_hours_less_absences(session: Session) -> None:
    sam, dana = make_hands(session)
    assert there(session, FRIDAY, "paint") == 2400 // 5
    add_absence(Act(session, sam, MORNING), person_id=dana.person_id or 0, first=FRIDAY, minutes_away=150)
    assert there(session, FRIDAY, "paint") == 480 - 150
    assert [row.name for row in board(session).away] == ["Dana"]


def test_a_week_is_the_sum_of_its_days_by_skill() -> None:
    days = [[SkillHours("body", 246, 480), SkillHours("paint", 0, 480)], [SkillHours("body", 120, 480)]]
    assert sum_hours(days) == (SkillHours("body", 366, 960), SkillHours("paint", 0, 480))


def test_people_without_a_skill_or_who_only_keep_the_desk_are_no_hands(session: Session) -> None:
    make_person(session, "Desk", Role.DESK)
    make_person(session, "Noor", Role.OWNER, skills=())
    assert board(session).hours[THURSDAY] == ()


def test_work_without_a_promised_day_is_told_beside_and_lies_on_no_day(session: Session) -> None:
    make_hands(session)
    job = make_planned_job(session, is_agreed=True, at=STARTED)
    left = sum(stage.planned_minutes for stage in list_stages(session, job.id))
    shown = board(session)
    assert ([each.id for each in shown.undated], shown.undated_minutes, promised(session, THURSDAY)) == (
        [job.id],
        left,
        0,
    )
    assert sum(one.undated_minutes for one in hours_of_today(ShopOn(session, THURSDAY))) == left
    job.promise_on = FRIDAY
    assert board(session).undated == ()


def test_late_and_unfetched_cars_stay_on_the_board(session: Session) -> None:
    make_hands(session)
    late = make_promised_job(session, comes=WEDNESDAY, back=WEDNESDAY, is_here=True, at=MONDAY_BEFORE)
    ready = make_promised_job(session, comes=WEDNESDAY, back=WEDNESDAY, is_here=True, at=MONDAY_BEFORE)
    mark_ready(Act(session, THE_PROGRAM, at("15:00", WEDNESDAY)), ready.id, with_open_stages=True)
    shown = board(session)
    assert (car_of(shown, late).stay.standing, car_of(shown, ready).stay.standing) == (StayState.LATE, StayState.READY)
    assert car_of(shown, ready).taken == frozenset(shown.slots)
    assert max(car_of(shown, late).taken) == (shown.late[late.id].ready[0], shown.late[late.id].ready[1] != "morning")
    assert [job.id for job in shown.late_jobs] == [late.id]
    assert shown.counts[TUESDAY] == 1, "a car that is not picked up takes a place"


def test_a_car_that_did_not_come_stands_apart_and_holds_no_place(session: Session) -> None:
    missed = make_promised_job(session, comes=WEDNESDAY, back=FRIDAY, at=MONDAY_BEFORE)
    shown = board(session)
    assert [job.id for job in shown.not_come] == [missed.id]
    assert shown.cars == ()


def test_a_car_stands_at_its_place_and_one_without_goes_where_there_is_room(session: Session) -> None:
    names = [room.name for room in board(session).rooms]
    here = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    here.place_id = place_named(session, names[0]).id
    same = make_promised_job(session, comes=FRIDAY, back=MONDAY)
    after = make_promised_job(session, comes=MONDAY, back=TUESDAY)
    shown = board(session)
    rooms = {room.id: room.name for room in shown.rooms}
    assert [rooms[car_of(shown, job).room_id or 0] for job in (here, same, after)] == [names[0], names[1], names[0]]


def test_a_session_is_booked_by_the_clock_until_the_car_is_untaped(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    (only,) = board(session).sessions
    spray = next(stage for stage in list_stages(session, job.id) if stage.code == StageCode.BASE_CLEAR)
    assert only.number == job.number
    assert only.sprayed_at - only.starts_at == timedelta(minutes=spray.planned_minutes + spray.flash_minutes)
    assert only.free_at - only.sprayed_at == timedelta(minutes=45)
    assert board(session).clashes == frozenset()
    other = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    assert {one.number for one in board(session).clashes} == {job.number, other.number}


def test_a_board_of_past_days_shows_who_was_here_and_no_hours(session: Session) -> None:
    job = make_promised_job(session, comes=WEDNESDAY, back=THURSDAY, is_here=True, at=MONDAY_BEFORE)
    job.ready_at = job.handed_over_at = at("15:00")
    job.handed_over_on, job.place_id = THURSDAY, None
    shown = board(session, WEDNESDAY, at("10:00", FRIDAY))
    assert car_of(shown, job).stay.standing is StayState.GONE
    assert sorted(car_of(shown, job).taken) == [
        (WEDNESDAY, False),
        (WEDNESDAY, True),
        (THURSDAY, False),
        (THURSDAY, True),
    ]
    assert WEDNESDAY not in shown.hours


def test_four_weeks_are_counted_small_from_the_monday_of_the_first_day(session: Session) -> None:
    make_promised_job(session, comes=THURSDAY, back=FRIDAY)
    make_promised_job(session, comes=FRIDAY, back=MONDAY)
    shown = board(session)
    assert (min(shown.small), max(shown.small), len(shown.small)) == (date(2026, 11, 2), date(2026, 11, 27), 20)
    assert [shown.counts[day] for day in (THURSDAY, FRIDAY, MONDAY, TUESDAY)] == [1, 2, 1, 0]


@pytest.mark.parametrize("lifted", [None, 1], ids=["read", "with a car lifted"])
def test_the_number_of_statements_does_not_grow_with_cars(session: Session, lifted: int | None) -> None:
    make_hands(session)

    def ask() -> int:
        session.flush()
        session.expire_all()
        with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
            board_of(read_board(shop_at(session, MORNING), THURSDAY, MORNING, lifted))
        assert watch.walks == {}
        return watch.statements

    make_promised_job(session, is_here=True)
    few = ask()
    for _ in range(4):
        make_promised_job(session, is_here=True)
        make_stage(session, make_promised_job(session, comes=FRIDAY, back=MONDAY))
    add_absence(Act(session, THE_PROGRAM, MORNING), person_id=1, first=FRIDAY, last=MONDAY)
    assert ask() == few <= 15

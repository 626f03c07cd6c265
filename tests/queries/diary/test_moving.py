"""A lifted car: the days that it would have, and what that does to every other before anything is saved."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.diary.board import read_board
from shopbook.queries.diary.moving import MovedBoard, move_on_board
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_ready
from shopbook.trade.diary.board import Slot
from shopbook.trade.permissions import THE_PROGRAM
from tests.house.test_query_plans import watching
from tests.makers.diary import FRIDAY, MONDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY, at

EIGHT = at("8:00")
TUESDAY = MONDAY + timedelta(days=1)
TWO_PANELS = ("right_quarter", "bonnet")


def moved(session: Session, job: Job, slot: Slot | None, place_id: int | None = None) -> MovedBoard:
    session.flush()
    seen = read_board(shop_at(session, EIGHT), THURSDAY, EIGHT, lifted=job.number)
    return move_on_board(seen, seen.jobs[job.id], slot, place_id)


def test_moving_a_car_by_a_day_leaves_another_its_promise_and_says_the_day_that_can_be_kept(session: Session) -> None:
    """62, two panels, told Monday afternoon; 67, one panel, told Tuesday afternoon, is moved to Monday afternoon."""
    make_hands(session)
    other = make_promised_job(session, *TWO_PANELS, comes=THURSDAY, back=MONDAY, is_here=True)
    job = make_promised_job(session, comes=THURSDAY, back=TUESDAY, is_here=True)
    found = moved(session, job, (MONDAY, True))
    assert found.before.late == {}
    assert {each.job.id: each.before for each in found.cars} == {other.id: None, job.id: None}
    late = {each.job.id: (each.after.told, each.after.ready) for each in found.cars if each.after}
    assert late[other.id] == ((MONDAY, "afternoon"), (TUESDAY, "afternoon"))
    assert late[job.id] == ((MONDAY, "afternoon"), (TUESDAY, "morning"))
    assert (job.promise_on, other.promise_on) == (TUESDAY, MONDAY), "nothing is saved"
    assert not session.dirty
    assert not session.new


def test_the_hours_shown_are_those_that_would_be_saved_and_stay_the_same_in_all(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=MONDAY, back=TUESDAY)
    found = moved(session, job, (FRIDAY, False))

    before = {day: sum(one.promised_minutes for one in rows) for day, rows in found.before.hours.items()}
    after = {day: sum(one.promised_minutes for one in rows) for day, rows in found.after.hours.items()}
    assert (
        sum(before.values())
        == sum(after.values())
        == sum(stage.planned_minutes for stage in list_stages(session, job.id))
    )
    assert before[FRIDAY] == 0 < after[FRIDAY]


def test_a_car_to_come_is_promised_for_when_its_plan_can_be_done_from_there(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=MONDAY, back=MONDAY + timedelta(days=4))
    found = moved(session, job, (FRIDAY, False))
    assert found.days.drop_off == (FRIDAY, "morning")
    assert found.days.told == (TUESDAY, "morning")
    assert found.after.late == {}
    assert (found.earlier, found.later) == ((THURSDAY, True), (FRIDAY, True))


def test_a_car_without_a_plan_stays_as_long_as_before(session: Session) -> None:
    job = make_promised_job(session, comes=MONDAY, back=TUESDAY)
    for stage in list_stages(session, job.id):
        stage.struck_at = EIGHT
    assert moved(session, job, (THURSDAY, True)).days.told == (MONDAY, "morning")


def test_a_car_lifted_and_not_moved_keeps_its_days(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=MONDAY, back=date(2026, 11, 13))
    found = moved(session, job, None)
    assert (found.days.drop_off, found.days.told) == ((MONDAY, "morning"), (date(2026, 11, 13), "afternoon"))
    assert (found.cars, found.crowds, found.clashing) == ((), (), ())


def test_nothing_is_moved_into_the_past_or_onto_a_closed_day(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=MONDAY, back=TUESDAY)
    assert moved(session, job, (date(2026, 11, 2), True)).slot == (THURSDAY, False)
    assert moved(session, job, (THURSDAY, False)).earlier is None
    assert moved(session, job, (date(2026, 11, 7), False)).slot == (MONDAY, False)


def test_of_a_car_that_is_ready_only_the_place_moves(session: Session) -> None:
    job = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    mark_ready(Act(session, THE_PROGRAM, EIGHT), job.id, with_open_stages=True)
    found = moved(session, job, (TUESDAY, True), place_id=2)
    assert (found.days.told, found.days.place_id) == ((FRIDAY, "afternoon"), 2)


def test_a_place_that_would_hold_two_cars_is_said_with_its_half_days(session: Session) -> None:
    first = make_promised_job(session, comes=THURSDAY, back=THURSDAY, is_here=True)
    job = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    rooms = moved(session, job, None).after.rooms
    first.place_id, job.place_id = rooms[0].id, rooms[1].id
    found = moved(session, job, None, rooms[0].id)
    assert found.crowds == ((rooms[0], (THURSDAY, False), 2), (rooms[0], (THURSDAY, True), 2))
    assert moved(session, job, None, rooms[1].id).crowds == ()


def test_two_sessions_that_would_overlap_are_named(session: Session) -> None:
    make_hands(session)
    other = make_promised_job(session, *TWO_PANELS, comes=THURSDAY, back=MONDAY, is_here=True)
    job = make_promised_job(session, comes=THURSDAY, back=TUESDAY, is_here=True)
    assert moved(session, job, (MONDAY, True)).clashing == (other.number, job.number)
    assert moved(session, job, (MONDAY, False)).clashing == ()


def test_a_move_is_worked_out_without_a_statement(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=MONDAY, back=TUESDAY)
    seen = read_board(shop_at(session, EIGHT), THURSDAY, EIGHT, lifted=job.number)
    move_on_board(seen, seen.jobs[job.id], None, None)
    with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
        move_on_board(seen, seen.jobs[job.id], (FRIDAY, True), None)
    assert watch.statements == 0

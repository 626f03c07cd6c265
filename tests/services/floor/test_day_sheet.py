"""Yesterday corrected: gaps placed, guesses accepted, entries corrected with a reason, paper cards typed."""

from datetime import date, time

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job
from shopbook.models.money import MonthClose
from shopbook.queries.floor.day import get_day_sheet
from shopbook.queries.floor.hours import day_sheets, list_unplaced_days, sheets_to_the_end, sum_by_person, sum_hours
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.attendance import come_in, go_home, set_attendance
from shopbook.services.floor.day_sheet import (
    CardLine,
    correct_entry,
    place_time,
    rest_not_on_car,
    take_all_guesses,
    take_entry_back,
    type_hours,
)
from shopbook.services.floor.entries import Doing
from shopbook.services.floor.finishing import finish_stages
from shopbook.trade.errors import NotAllowed, RuleBroken
from shopbook.trade.floor.hours import Interval
from shopbook.trade.floor.words import ClockWhat, Why
from shopbook.trade.permissions import Actor
from tests.makers.floor import THURSDAY, at, make_entry, make_painter, make_work
from tests.makers.shop import STARTED

FRIDAY = date(2026, 11, 6)
EVENING = at("17:30")


def make_thursday(session: Session) -> tuple[Actor, int]:
    """Dana here 8:00 to 16:30, on cars 8:12 to 12:00 and 13:00 to 16:00."""
    dana = make_painter(session)
    come_in(Act(session, dana, at("8:00")))
    stage = make_work(session)
    make_entry(session, dana, stage, "8:12", "12:00")
    make_entry(session, dana, stage, "13:00", "16:00")
    go_home(Act(session, dana, at("16:30")))
    return dana, dana.person_id or 0


def test_here_is_on_cars_and_to_place_with_lunch_cut_out(session: Session) -> None:
    _, person_id = make_thursday(session)
    day = get_day_sheet(session, person_id, THURSDAY, EVENING)
    assert (day.sums.here_minutes, day.sums.on_cars_minutes, day.sums.to_place_minutes) == (480, 408, 72)
    assert [hole.interval.minutes for hole in day.holes] == [12, 30, 30]


def test_all_guesses_leave_nothing_to_place(session: Session) -> None:
    dana, person_id = make_thursday(session)
    assert take_all_guesses(Act(session, dana, EVENING), person_id, THURSDAY) == 3
    day = get_day_sheet(session, person_id, THURSDAY, EVENING)
    assert (day.sums.to_place_minutes, day.sums.overlap_minutes, day.sums.outside_minutes) == (0, 0, 0)


def test_the_rest_can_be_left_off_cars(session: Session) -> None:
    dana, person_id = make_thursday(session)
    rest_not_on_car(Act(session, dana, EVENING), person_id, THURSDAY)
    day = get_day_sheet(session, person_id, THURSDAY, EVENING)
    assert (day.sums.on_cars_minutes, day.sums.elsewhere_minutes, day.sums.to_place_minutes) == (408, 72, 0)


def test_a_break_is_time_here_on_no_car_with_nothing_to_place(session: Session) -> None:
    """Here 8:00 to 12:00, on cars until 9:30 and from 9:45: 240 minutes here, 225 on cars, 15 of break."""
    dana, stage = make_painter(session), make_work(session)
    person_id = dana.person_id or 0
    come_in(Act(session, dana, at("8:00")))
    make_entry(session, dana, stage, "8:00", "9:30")
    make_entry(session, dana, stage, "9:45", "12:00")
    go_home(Act(session, dana, at("12:00")))
    place_time(Act(session, dana, EVENING), person_id, Interval(at("9:30"), at("9:45")), Doing(ClockWhat.BREAK))
    sums = get_day_sheet(session, person_id, THURSDAY, EVENING).sums
    assert (sums.here_minutes, sums.on_cars_minutes, sums.elsewhere_minutes, sums.to_place_minutes) == (240, 225, 15, 0)


def test_a_stage_done_in_the_hole_that_nobody_clocked_is_the_best_guess(session: Session) -> None:
    dana, person_id = make_thursday(session)
    mask = make_work(session, "Degrease, mask, tack")
    finish_stages(Act(session, dana, at("12:50")), [mask.id])
    day = get_day_sheet(session, person_id, THURSDAY, EVENING)
    guess = day.holes[1].guesses[0]
    assert (guess.stage_ids, guess.what) == ((mask.id,), ClockWhat.STAGE)


def test_time_that_has_its_place_is_not_placed_twice(session: Session) -> None:
    dana, person_id = make_thursday(session)
    with pytest.raises(RuleBroken, match="entered already"):
        place_time(Act(session, dana, EVENING), person_id, Interval(at("8:00"), at("8:30")), Doing(ClockWhat.CLEANING))


def test_hours_that_cannot_be_are_refused(session: Session) -> None:
    dana, person_id = make_thursday(session)
    young = make_work(session)
    session.get_one(Job, young.job_id).opened_on = FRIDAY
    cases = [
        (Interval(at("18:00"), at("19:00")), Doing(ClockWhat.PHONE), "still to come"),
        (Interval(at("8:00"), at("8:00")), Doing(ClockWhat.PHONE), "less than a minute"),
        (Interval(at("8:00"), at("8:10")), Doing(stage_ids=(young.id,)), "not opened yet on that day"),
    ]
    for interval, doing, says in cases:
        with pytest.raises(RuleBroken, match=says):
            place_time(Act(session, dana, EVENING), person_id, interval, doing)


def test_nobody_touches_anothers_hours_but_the_desk(session: Session, owner: Actor) -> None:
    _, person_id = make_thursday(session)
    sam = make_painter(session, "Sam")
    hole = Interval(at("8:00"), at("8:12"))
    with pytest.raises(NotAllowed):
        place_time(Act(session, sam, EVENING), person_id, hole, Doing(ClockWhat.CLEANING))
    assert place_time(Act(session, owner, EVENING), person_id, hole, Doing(ClockWhat.CLEANING)).minutes == 12


def test_a_correction_takes_the_entry_back_whole_and_writes_it_anew(session: Session) -> None:
    dana, _ = make_thursday(session)
    other = make_work(session, "Nib, polish")
    entry = session.scalars(select(ClockEntry).order_by(ClockEntry.id)).first()
    assert entry is not None
    correct_entry(Act(session, dana, EVENING), entry.id, doing=Doing(stage_ids=(other.id,)))
    sums = dict(
        session.execute(select(ClockShare.stage_id, func.sum(ClockShare.minutes)).group_by(ClockShare.stage_id)).all()
    )  # type: ignore[arg-type]
    assert sums[other.id] == 228
    assert sum(sums.values()) == 408
    with pytest.raises(RuleBroken, match="removed already"):
        correct_entry(Act(session, dana, EVENING), entry.id, doing=Doing(ClockWhat.CLEANING))


def test_a_reversal_brings_its_shares_and_cost_to_zero(session: Session) -> None:
    dana, _ = make_thursday(session)
    for entry in session.scalars(select(ClockEntry).where(ClockEntry.reverses_id.is_(None))).all():
        take_entry_back(Act(session, dana, EVENING), entry.id)
    totals = session.execute(select(func.sum(ClockShare.minutes), func.sum(ClockShare.cost_minor))).one()
    assert tuple(totals) == (0, 0)


def test_a_later_correction_wants_one_tap_and_the_same_day_does_not(session: Session) -> None:
    dana, _ = make_thursday(session)
    first = session.scalars(select(ClockEntry).order_by(ClockEntry.id)).first()
    assert first is not None
    with pytest.raises(RuleBroken, match="Choose a reason"):
        correct_entry(Act(session, dana, at("9:00", FRIDAY)), first.id, doing=Doing(ClockWhat.CLEANING))
    made = correct_entry(
        Act(session, dana, at("9:00", FRIDAY)), first.id, doing=Doing(ClockWhat.CLEANING), reason=Why.WRONG_JOB
    )
    assert made.reason == "Wrong job or stage"


def test_attendance_is_put_right_by_another_line(session: Session) -> None:
    dana, person_id = make_thursday(session)
    set_attendance(Act(session, dana, EVENING), person_id, THURSDAY, at("7:45"), at("16:30"))
    assert get_day_sheet(session, person_id, THURSDAY, EVENING).sums.here_minutes == 495
    with pytest.raises(RuleBroken, match="after the arrival"):
        set_attendance(Act(session, dana, EVENING), person_id, THURSDAY, at("9:00"), at("8:00"))
    with pytest.raises(RuleBroken, match="not later than now"):
        set_attendance(Act(session, dana, EVENING), person_id, THURSDAY, at("9:00", FRIDAY), None)


def test_who_forgot_to_press_going_home_was_here_until_closing(session: Session) -> None:
    dana = make_painter(session)
    come_in(Act(session, dana, at("8:00")))
    day = get_day_sheet(session, dana.person_id or 0, THURSDAY, at("9:00", FRIDAY))
    assert day.is_gone_assumed
    assert day.sums.here_minutes == 510


def test_a_paper_card_is_split_around_lunch_and_sets_the_day(session: Session, owner: Actor) -> None:
    sam, stage = make_painter(session, "Sam"), make_work(session)
    person_id = sam.person_id or 0
    lines = [
        CardLine(time(8, 0), time(14, 0), Doing(stage_ids=(stage.id,))),
        CardLine(time(14, 0), time(15, 0), Doing(ClockWhat.CLEANING)),
    ]
    made = type_hours(Act(session, owner, EVENING), person_id, THURSDAY, lines)
    assert [entry.minutes for entry in made] == [240, 90, 60]
    assert all(entry.is_typed for entry in made)
    day = get_day_sheet(session, person_id, THURSDAY, EVENING)
    assert (day.sums.here_minutes, day.sums.to_place_minutes, day.sums.outside_minutes) == (390, 0, 0)


def test_nothing_is_typed_into_a_closed_month(session: Session, owner: Actor) -> None:
    sam = make_painter(session, "Sam")
    session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=STARTED, person_id=owner.person_id))
    session.flush()
    line = CardLine(time(8, 0), time(9, 0), Doing(ClockWhat.CLEANING))
    with pytest.raises(RuleBroken, match="closed up to"):
        type_hours(Act(session, owner, EVENING), sam.person_id or 0, date(2026, 10, 30), [line])


def test_hours_over_days_agree_with_the_day_sheets(session: Session) -> None:
    _, person_id = make_thursday(session)
    (hours,) = sum_by_person(session, day_sheets(session, date(2026, 11, 1), date(2026, 11, 30), EVENING))
    assert (hours.person_id, hours.here_minutes, hours.on_cars_minutes, hours.to_place_minutes) == (
        person_id,
        480,
        408,
        72,
    )
    # Eight hours at 30.00.
    shop = ShopOn(session, date(2026, 11, 30))
    assert sum_hours(shop, sheets_to_the_end(shop, date(2026, 11, 1), shop.day)) == (480, 408, 24000)
    assert [
        (day.on, day.to_place_minutes) for day in list_unplaced_days(ShopOn(session, FRIDAY), at("9:00", FRIDAY))
    ] == [(THURSDAY, 72)]

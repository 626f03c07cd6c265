"""Absences come into the diary and go out of it; a car is moved on its board."""

from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.diary import Absence
from shopbook.models.shop import LogLine, Place
from shopbook.services.act import Act
from shopbook.services.diary import WHOLE_DAY, add_absence, move_car, remove_absence
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.diary import FRIDAY, MONDAY, make_promised_job
from tests.makers.floor import THURSDAY


def days_away(session: Session) -> list[tuple[date, int, str]]:
    rows = session.scalars(select(Absence).order_by(Absence.on))
    return [(row.on, row.minutes_away, row.why) for row in rows]


def test_a_weekend_between_two_days_away_is_left_out(session: Session, owner: Actor, act: Act) -> None:
    count = add_absence(act, person_id=owner.person_id or 0, first=FRIDAY, last=MONDAY, why=" ill ")
    assert count == 2
    assert days_away(session) == [(FRIDAY, WHOLE_DAY, "ill"), (MONDAY, WHOLE_DAY, "ill")]


def test_a_day_written_twice_is_written_anew(session: Session, owner: Actor, act: Act) -> None:
    add_absence(act, person_id=owner.person_id or 0, first=FRIDAY)
    add_absence(act, person_id=owner.person_id or 0, first=FRIDAY, minutes_away=120, why="dentist")
    assert days_away(session) == [(FRIDAY, 120, "dentist")]


def test_an_absence_is_taken_out_and_both_are_logged(session: Session, owner: Actor, act: Act) -> None:
    add_absence(act, person_id=owner.person_id or 0, first=FRIDAY)
    absence = session.scalars(select(Absence)).one()
    remove_absence(act, absence.id)
    assert days_away(session) == []
    acts = session.scalars(select(LogLine.act).where(LogLine.subject == "person").order_by(LogLine.id)).all()
    assert list(acts) == ["add_absence", "remove_absence"]
    with pytest.raises(NotFound):
        remove_absence(act, absence.id)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"first": MONDAY, "last": FRIDAY}, "last"),
        ({"first": FRIDAY, "last": date(2027, 11, 5)}, "last"),
        ({"first": FRIDAY, "minutes_away": 0}, "minutes_away"),
        ({"first": FRIDAY, "minutes_away": 1441}, "minutes_away"),
        ({"first": date(2026, 11, 7)}, "first"),
        ({"first": FRIDAY, "why": "x" * 201}, "why"),
    ],
)
def test_what_is_no_absence_is_refused_beside_its_field(
    session: Session, owner: Actor, act: Act, given: dict[str, object], field: str
) -> None:
    with pytest.raises(RuleBroken) as refused:
        add_absence(act, person_id=owner.person_id or 0, **given)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert days_away(session) == []


def test_nobody_unknown_can_be_away(act: Act) -> None:
    with pytest.raises(NotFound):
        add_absence(act, person_id=999, first=FRIDAY)


def test_a_moved_car_gets_its_days_and_its_place_and_no_other_car_moves(session: Session, act: Act) -> None:
    job, other = make_promised_job(session), make_promised_job(session)
    place = session.scalars(select(Place)).first()
    assert place is not None
    move_car(act, job.id, (FRIDAY, "morning"), (MONDAY, "afternoon"), place.id)
    assert (job.drop_off_on, job.drop_off_half, job.promise_on, job.promise_half, job.place_id) == (
        FRIDAY,
        "morning",
        MONDAY,
        "afternoon",
        place.id,
    )
    assert (other.drop_off_on, other.promise_on, other.place_id) == (THURSDAY, FRIDAY, None)
    acts = session.scalars(select(LogLine.act).where(LogLine.job_id == job.id).order_by(LogLine.id)).all()
    assert acts[-2:] == ["plan_days", "move_car"]


def test_a_place_that_is_not_in_use_takes_no_car_and_nothing_is_half_done(session: Session, act: Act) -> None:
    job = make_promised_job(session)
    gone = Place(name="Old bay", is_bay=True, is_active=False)
    session.add(gone)
    session.flush()
    with pytest.raises(RuleBroken, match="not in use any more"):
        move_car(act, job.id, (THURSDAY, ""), (FRIDAY, ""), gone.id)
    with pytest.raises(RuleBroken, match="on or after the drop-off day"):
        move_car(act, job.id, (MONDAY, ""), (FRIDAY, ""), None)

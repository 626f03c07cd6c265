"""Absences come into the diary and go out of it."""

from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.diary import Absence
from shopbook.models.shop import LogLine
from shopbook.services.act import Act
from shopbook.services.diary import WHOLE_DAY, add_absence, remove_absence
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.diary import FRIDAY, MONDAY


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

"""Fixed costs: what is changed from a day leaves the days before as they were; a closed month keeps what it counted."""

from datetime import date
from typing import Any

import pytest
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.shop import DatedCost, PersonWeek
from shopbook.queries.shop.house_costs import as_fixed, list_fixed_costs, list_paid_weeks
from shopbook.services.act import Act
from shopbook.services.shop.fixed_costs import (
    add_fixed_cost,
    change_fixed_cost,
    end_fixed_cost,
    restore_fixed_cost,
    strike_fixed_cost,
)
from shopbook.services.shop.paid_weeks import end_paid_week, set_paid_week
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Role
from shopbook.trade.results.paid_hours import PaidWeek
from tests.makers import make_person

NOVEMBER = date(2026, 11, 1), date(2026, 11, 30)
DECEMBER = date(2026, 12, 1), date(2026, 12, 31)


def add(act: Act, **given: Any) -> DatedCost:
    values = {"name": "Rent", "amount_minor": 300_000, "per": "month", "from_on": NOVEMBER[0]}
    return add_fixed_cost(act, **(values | given))


def close_october(act: Act) -> None:
    act.session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=act.moment))
    act.session.flush()


def test_rent_that_changes_from_a_day_keeps_what_was_paid_before(session: Session, act: Act) -> None:
    rent = add(act)
    change_fixed_cost(act, rent.id, name="Rent", amount_minor=320_000, per="month", from_on=DECEMBER[0])
    old, new = map(as_fixed, list_fixed_costs(session))
    assert (old.until_on, new.from_on) == (NOVEMBER[1], DECEMBER[0])
    assert (old.share_minor(*NOVEMBER), old.share_minor(*DECEMBER)) == (300_000, 0)
    assert (new.share_minor(*NOVEMBER), new.share_minor(*DECEMBER)) == (0, 320_000)


def test_a_mistyped_amount_is_corrected_from_the_first_day_in_place(session: Session, act: Act) -> None:
    rent = add(act, amount_minor=30_000)
    change_fixed_cost(act, rent.id, name="Rent", amount_minor=300_000, per="month", from_on=NOVEMBER[0])
    assert [(row.amount_minor, row.until_on) for row in list_fixed_costs(session)] == [(300_000, None)]


def test_one_that_ended_already_is_not_made_longer_by_its_successor(session: Session, act: Act) -> None:
    rent = add(act, until_on=date(2026, 11, 20))
    change_fixed_cost(act, rent.id, name="Rent", amount_minor=320_000, per="month", from_on=DECEMBER[0])
    assert [row.until_on for row in list_fixed_costs(session)] == [date(2026, 11, 20), None]


def test_it_ends_and_goes_on_again(session: Session, act: Act) -> None:
    rent = add(act)
    end_fixed_cost(act, rent.id, date(2026, 11, 15))
    assert as_fixed(rent).share_minor(*NOVEMBER) == 150_000
    end_fixed_cost(act, rent.id, None)
    assert as_fixed(rent).share_minor(*DECEMBER) == 300_000
    with pytest.raises(RuleBroken, match="on or after the first"):
        end_fixed_cost(act, rent.id, date(2026, 10, 30))


def test_what_was_removed_is_restored_once(session: Session, act: Act) -> None:
    rent = add(act)
    strike_fixed_cost(act, rent.id)
    assert rent.struck_at == act.moment
    for late in (strike_fixed_cost, lambda act, key: end_fixed_cost(act, key, None)):
        with pytest.raises(Conflict, match="removed meanwhile"):
            late(act, rent.id)
    restore_fixed_cost(act, rent.id)
    assert rent.struck_at is None
    with pytest.raises(Conflict, match="there already"):
        restore_fixed_cost(act, rent.id)


def test_a_closed_month_keeps_what_it_counted(session: Session, act: Act) -> None:
    rent = add(act, from_on=date(2026, 10, 1))
    close_october(act)
    with pytest.raises(RuleBroken, match="closed up to"):
        add(act, name="Power", from_on=date(2026, 10, 31))
    with pytest.raises(RuleBroken, match="Rent is in a closed month"):
        strike_fixed_cost(act, rent.id)
    with pytest.raises(RuleBroken, match="closed up to"):
        end_fixed_cost(act, rent.id, date(2026, 10, 15))
    with pytest.raises(RuleBroken, match="closed up to"):
        change_fixed_cost(act, rent.id, name="Rent", amount_minor=1, per="month", from_on=date(2026, 10, 1))
    end_fixed_cost(act, rent.id, date(2026, 10, 31))
    assert as_fixed(rent).share_minor(date(2026, 10, 1), date(2026, 10, 31)) == 300_000


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": "  "}, "name"),
        ({"amount_minor": 0}, "amount_minor"),
        ({"per": "week"}, "per"),
        ({"until_on": date(2026, 10, 31)}, "until_on"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(act: Act, given: dict[str, Any], field: str) -> None:
    with pytest.raises(RuleBroken) as broken:
        add(act, **given)
    assert broken.value.field == field


def test_an_unknown_one_is_not_found(act: Act) -> None:
    with pytest.raises(NotFound):
        end_fixed_cost(act, 99, None)


def test_a_person_is_paid_by_the_week_from_a_day(session: Session, act: Act) -> None:
    sam = make_person(session, "Sam", Role.TECHNICIAN).person_id or 0
    set_paid_week(act, sam, weekly_minutes=1_500, weekdays=[2, 0, 1, 0], from_on=NOVEMBER[0])
    set_paid_week(act, sam, weekly_minutes=None, weekdays=[1], from_on=DECEMBER[0])
    weeks = [PaidWeek(NOVEMBER[0], 1_500, frozenset({0, 1, 2})), PaidWeek(DECEMBER[0])]
    assert list_paid_weeks(session) == {sam: weeks}


def test_who_leaves_is_paid_by_the_week_up_to_today(session: Session, act: Act) -> None:
    sam = make_person(session, "Sam", Role.TECHNICIAN).person_id or 0
    end_paid_week(act, sam)
    assert session.query(PersonWeek).count() == 0
    set_paid_week(act, sam, weekly_minutes=2_400, weekdays=range(5), from_on=NOVEMBER[0])
    end_paid_week(act, sam)
    last = list_paid_weeks(session)[sam][-1]
    assert (last.weekly_minutes, (last.from_on - act.day).days) == (None, 1)


def test_a_week_in_a_closed_month_is_refused(session: Session, act: Act) -> None:
    sam = make_person(session, "Sam", Role.TECHNICIAN).person_id or 0
    close_october(act)
    with pytest.raises(RuleBroken, match="closed up to"):
        set_paid_week(act, sam, weekly_minutes=2_400, weekdays=range(5), from_on=date(2026, 10, 5))

"""The shop's particulars, places, closed days and numbers."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.shop.book import get_book, get_units, list_closed_days, list_last_numbers, list_places
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.services.act import Act
from shopbook.services.postings import next_number
from shopbook.services.shop.book import add_place, change_book, change_place, close_days, go_on_with_numbers, open_day
from shopbook.services.shop.rates import set_settings
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.settings import SettingName

FRIDAY = date(2026, 11, 6)


def test_a_stale_page_of_particulars_is_refused(session: Session, act: Act) -> None:
    change_book(act, revision=1, units={}, shop_name="Quarry Lane")
    with pytest.raises(Conflict):
        change_book(act, revision=1, units={}, shop_name="Another")
    assert get_book(session).shop_name == "Quarry Lane"


def test_a_zone_that_is_none_is_refused_beside_its_field(act: Act) -> None:
    with pytest.raises(RuleBroken) as broken:
        change_book(act, revision=1, units={}, zone="Moon/Base")
    assert broken.value.field == "zone"


def test_units_are_the_countrys_until_the_shop_chooses_others(session: Session, act: Act) -> None:
    assert get_units(session).shown(Kind.AREA) is Unit.FT2
    change_book(act, revision=1, units={"area": "m²"})
    assert get_units(session).shown(Kind.AREA) is Unit.M2
    assert get_units(session).shown(Kind.TEMPERATURE) is Unit.F


def test_a_place_out_of_use_is_not_offered_and_frees_its_name(session: Session, act: Act) -> None:
    place = add_place(act, name=" Bay  3 ", is_bay=True)
    with pytest.raises(RuleBroken):
        add_place(act, name="Bay 3", is_bay=False)
    change_place(act, place.id, name="Bay 3", is_bay=True, is_active=False)
    assert "Bay 3" not in {known.name for known in list_places(session)}
    assert add_place(act, name="Bay 3", is_bay=True).id != place.id


def test_an_unknown_place_is_not_found(act: Act) -> None:
    with pytest.raises(NotFound):
        change_place(act, 999, name="Bay 9", is_bay=True, is_active=True)


def test_closing_a_day_twice_closes_it_once(session: Session, act: Act) -> None:
    assert close_days(act, {FRIDAY: "stock day"}) == 1
    assert close_days(act, {FRIDAY: "again"}) == 0
    assert [row.why for row in list_closed_days(session, FRIDAY, FRIDAY)] == ["stock day"]
    assert not opening_hours_on(session, FRIDAY).is_working_day(FRIDAY)
    open_day(act, FRIDAY)
    assert opening_hours_on(session, FRIDAY).is_working_day(FRIDAY)


def test_a_short_saturday_is_worked_through_lunch(session: Session, act: Act) -> None:
    week = {"4": ["08:00", "17:00"], "5": ["09:00", "12:00"]}
    set_settings(act, {SettingName.OPENING_HOURS: week}, FRIDAY)
    hours = opening_hours_on(session, FRIDAY)
    assert hours.working_minutes_on(FRIDAY) == 9 * 60 - 30
    assert hours.working_minutes_on(date(2026, 11, 7)) == 3 * 60
    assert not hours.is_working_day(date(2026, 11, 9))


def test_numbers_go_on_after_the_old_ones_and_never_back(session: Session, act: Act) -> None:
    go_on_with_numbers(act, {Series.INVOICE: 416})
    assert next_number(session, Series.INVOICE) == 417
    with pytest.raises(RuleBroken) as broken:
        go_on_with_numbers(act, {Series.INVOICE: 416})
    assert broken.value.field == "invoice"
    assert list_last_numbers(session)["invoice"] == 417

"""Switching "prices hold the tax": the list's figures mean the other thing, or are converted once from the day."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.shop.rates import catalogue_on, labour_rates_on, setting_on
from shopbook.services.act import Act
from shopbook.services.money.tax_inside import set_money_rules
from shopbook.services.shop.rates import set_standard
from shopbook.trade.billing import LineKind, rate_of
from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.pricing.listed import ListFigures, TaxSwitch, bill_from_price
from shopbook.trade.settings import SettingName
from tests.makers.billing import set_tax
from tests.makers.shop import forget_taxes

DAY = date(2026, 11, 5)
NEXT = DAY + timedelta(days=10)
SHARES = {LineKind.LABOUR: 700, LineKind.MATERIALS: 300}
VAT = [rate_of("vat", "VAT", 20000)]
CODES = dict.fromkeys(SHARES, "vat")
CELL = "m.paint"
HOLDS = SettingName.PRICES_HOLD_TAX
PAINT_HOUR = SettingName.MATERIALS_REFINISH_HOUR_MINOR


@pytest.fixture
def listed(session: Session, owner: Actor, now: datetime) -> Session:
    """A shop at 20 % on everything, its own price for a door 950.00, an hour 65.00, a paint hour's materials 42.00."""
    forget_taxes(session)
    kinds = ["labour", "materials", "part", "colour", "sublet", "fee"]
    set_tax(session, "vat", "VAT", 20000, kinds, date(2026, 1, 1), now)
    body = entry_body(catalogue_on(session, DAY).prices["right_front_door"]) | {"set_minor": {CELL: 95000}}
    set_standard(Act(session, owner, now), EntryKind.PRICE, "right_front_door", body, DAY)
    return session


def figures(session: Session, day: date) -> tuple[int, int, int]:
    """The door's own price, an hour of body work, the materials of a paint hour."""
    price = catalogue_on(session, day).prices["right_front_door"].set_minor[CELL]
    return price, labour_rates_on(session, day)["body", "any"], setting_on(session, PAINT_HOUR, day)


def test_call_it_950_with_the_tax_inside_is_791_67_and_158_33() -> None:
    bill = bill_from_price(95000, SHARES, CODES, VAT, includes_tax=True)
    assert (bill.net_minor, bill.tax_minor, bill.gross_minor) == (79167, 15833, 95000)


def test_converting_there_and_back_comes_to_the_same() -> None:
    without = TaxSwitch(CODES, VAT, to_inside=False).of(95000, SHARES)
    assert (without, TaxSwitch(CODES, VAT, to_inside=True).of(without, SHARES)) == (79167, 95000)


def test_figures_that_stay_as_typed_mean_the_other_thing(listed: Session, owner: Actor, now: datetime) -> None:
    set_money_rules(Act(listed, owner, now), {HOLDS: True}, NEXT, ListFigures.STAY)
    assert (setting_on(listed, HOLDS, DAY), setting_on(listed, HOLDS, NEXT)) == (False, True)
    assert figures(listed, NEXT) == (95000, 6500, 4200)


def test_figures_are_converted_once_from_the_day(listed: Session, owner: Actor, now: datetime) -> None:
    set_money_rules(Act(listed, owner, now), {HOLDS: True, PAINT_HOUR: 4200}, DAY, ListFigures.CONVERT)
    assert figures(listed, DAY) == (114000, 7800, 5040)
    set_money_rules(Act(listed, owner, now), {HOLDS: False, PAINT_HOUR: 5040}, NEXT, ListFigures.CONVERT)
    assert (figures(listed, DAY), figures(listed, NEXT)) == ((114000, 7800, 5040), (95000, 6500, 4200))


def test_a_list_that_held_950_is_791_67_without_the_tax(listed: Session, owner: Actor, now: datetime) -> None:
    set_money_rules(Act(listed, owner, now), {HOLDS: True}, DAY, ListFigures.STAY)
    set_money_rules(Act(listed, owner, now), {HOLDS: False, PAINT_HOUR: 4200}, NEXT, ListFigures.CONVERT)
    assert figures(listed, NEXT) == (79167, 5417, 3500)


def test_a_figure_typed_in_the_same_form_is_meant_as_typed(listed: Session, owner: Actor, now: datetime) -> None:
    set_money_rules(Act(listed, owner, now), {HOLDS: True, PAINT_HOUR: 5000}, DAY, ListFigures.CONVERT)
    assert figures(listed, DAY)[2] == 5000


def test_switching_asks_and_nothing_is_changed_before_it_is_answered(
    listed: Session, owner: Actor, now: datetime
) -> None:
    with pytest.raises(RuleBroken) as broken:
        set_money_rules(Act(listed, owner, now), {HOLDS: True}, DAY)
    assert (broken.value.field, setting_on(listed, HOLDS, DAY)) == ("list_figures", False)
    assert set_money_rules(Act(listed, owner, now), {HOLDS: False}, DAY) == []


def test_nothing_can_be_converted_before_the_tax_is_set(listed: Session, owner: Actor, now: datetime) -> None:
    forget_taxes(listed)
    with pytest.raises(RuleBroken) as broken:
        set_money_rules(Act(listed, owner, now), {HOLDS: True}, DAY, ListFigures.CONVERT)
    assert broken.value.field == "list_figures"

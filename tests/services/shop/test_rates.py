"""Settings, rates, taxes and standards hold from a day, and never reach back."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.shop import DatedTaxRate, LabourRate, Setting
from shopbook.queries.shop.rates import (
    catalogue_on,
    labour_rates_on,
    list_later_changes,
    setting_on,
    tax_rates_on,
)
from shopbook.services.act import Act
from shopbook.services.shop.rates import (
    confirm_taxes,
    set_labour_rates,
    set_settings,
    set_standard,
    set_tax_kinds,
    set_tax_rate,
)
from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers import FIRST_DAY, STARTED

TODAY = date(2026, 11, 5)
NEXT_YEAR = date(2027, 1, 1)


def test_a_setting_holds_from_its_day_and_not_before(session: Session, act: Act) -> None:
    set_settings(act, {SettingName.QUOTE_VALID_DAYS: 14}, NEXT_YEAR)
    assert setting_on(session, SettingName.QUOTE_VALID_DAYS, NEXT_YEAR - timedelta(days=1)) == 30
    assert setting_on(session, SettingName.QUOTE_VALID_DAYS, NEXT_YEAR) == 14
    assert [(change.from_on, change.what) for change in list_later_changes(session, TODAY)] == [
        (NEXT_YEAR, "quote_valid_days")
    ]


def test_a_setting_that_is_not_different_writes_no_line(session: Session, act: Act) -> None:
    assert set_settings(act, {SettingName.QUOTE_VALID_DAYS: 30}, TODAY) == []
    assert session.scalars(select(Setting)).all() == []


def test_of_two_changes_for_one_day_the_later_made_counts(session: Session, act: Act) -> None:
    for days in (10, 20):
        set_settings(act, {SettingName.QUOTE_VALID_DAYS: days}, TODAY)
    assert setting_on(session, SettingName.QUOTE_VALID_DAYS, TODAY) == 20


@pytest.mark.parametrize("what", ["setting", "labour", "tax", "kinds", "standard"])
def test_nothing_is_set_into_a_closed_month(session: Session, owner: Actor, now: datetime, act: Act, what: str) -> None:
    closed = date(2026, 10, 31)
    session.add(MonthClose(month="2026-10", through_on=closed, at=now, person_id=owner.person_id))
    session.flush()
    panel = entry_body(catalogue_on(session, TODAY).panels["bonnet"])
    acts = {
        "setting": lambda: set_settings(act, {SettingName.PAYMENT_DAYS: 7}, closed),
        "labour": lambda: set_labour_rates(act, {("body", "any"): 7000}, closed),
        "tax": lambda: set_tax_rate(act, name="VAT", rate_thousandths=20000, from_on=closed),
        "kinds": lambda: set_tax_kinds(act, {}, closed),
        "standard": lambda: set_standard(act, "panel", "bonnet", panel, closed),
    }
    with pytest.raises(RuleBroken, match="closed up to") as broken:
        acts[what]()
    assert broken.value.field == "from_on"


def test_labour_rates_differ_by_payer_and_unchanged_ones_write_no_line(session: Session, act: Act) -> None:
    before = len(session.scalars(select(LabourRate)).all())
    rates = {("body", "any"): 6500, ("paint", "any"): 7000, ("paint", "insurer"): 5800}
    set_labour_rates(act, rates, TODAY)
    assert len(session.scalars(select(LabourRate)).all()) == before + 2
    held = labour_rates_on(session, TODAY)
    assert (held["paint", "insurer"], held["paint", "any"], held["body", "any"]) == (5800, 7000, 6500)
    assert labour_rates_on(session, TODAY - timedelta(days=1))["paint", "any"] == 6500


def test_a_new_rate_of_tax_keeps_what_it_falls_on_and_the_old_one_its_days(session: Session, act: Act) -> None:
    set_tax_rate(act, code="sales", name="Sales tax", rate_thousandths=8875, from_on=NEXT_YEAR)
    before = {tax.code: tax for tax in tax_rates_on(session, TODAY)}["sales"]
    after = {tax.code: tax for tax in tax_rates_on(session, NEXT_YEAR)}["sales"]
    assert (before.rate_thousandths, after.rate_thousandths) == (8000, 8875)
    assert before.line_kinds == after.line_kinds


def test_every_kind_of_line_falls_under_exactly_one_tax(session: Session, act: Act) -> None:
    codes = dict.fromkeys([LineKind.LABOUR, LineKind.MATERIALS, LineKind.PART], "sales")
    set_tax_kinds(act, codes | {LineKind.FEE: "none"}, TODAY)
    held = {tax.code: set(tax.line_kinds) for tax in tax_rates_on(session, TODAY)}
    assert held == {"sales": {"labour", "materials", "part"}, "none": {"fee"}}


def test_a_tax_that_is_not_there_cannot_be_chosen(act: Act) -> None:
    with pytest.raises(RuleBroken) as broken:
        set_tax_kinds(act, {LineKind.FEE: "moon"}, TODAY)
    assert broken.value.field == "fee"


def test_a_new_tax_gets_a_code_of_its_own(act: Act) -> None:
    first = set_tax_rate(act, name="City tax!", rate_thousandths=500, from_on=TODAY)
    second = set_tax_rate(act, name="City tax", rate_thousandths=600, from_on=TODAY)
    assert (first, second) == ("city_tax", "city_tax_2")


def test_confirming_twice_adds_nothing(session: Session, act: Act) -> None:
    confirm_taxes(act, TODAY)
    assert all(tax.is_confirmed for tax in tax_rates_on(session, TODAY))


def test_confirming_reaches_back_to_work_that_was_finished_before(session: Session, act: Act) -> None:
    guess = {"line_kinds": [], "is_confirmed": False, "from_on": FIRST_DAY, "at": STARTED}
    session.add(DatedTaxRate(code="levy", name="Levy", rate_thousandths=1000, **guess))
    confirm_taxes(act, TODAY)
    assert all(tax.is_confirmed for tax in tax_rates_on(session, TODAY - timedelta(days=30)))


def test_a_standard_of_the_shop_holds_from_its_day(session: Session, act: Act) -> None:
    ours = catalogue_on(session, TODAY).panels["bonnet"]
    body = entry_body(ours) | {"area_m2": 1.8}
    set_standard(act, "panel", "bonnet", body, NEXT_YEAR)
    assert catalogue_on(session, TODAY).panels["bonnet"].area_m2 == ours.area_m2
    assert catalogue_on(session, NEXT_YEAR).panels["bonnet"].area_m2 == 1.8


@pytest.mark.parametrize("change", [{"area_m2": 0}, {"area_m2": -1}, {"neighbours": ["nowhere"]}, {"wheels": 4}])
def test_a_standard_that_makes_no_sense_is_refused(session: Session, act: Act, change: dict[str, object]) -> None:
    body = entry_body(catalogue_on(session, TODAY).panels["bonnet"]) | change
    with pytest.raises(RuleBroken):
        set_standard(act, "panel", "bonnet", body, TODAY)

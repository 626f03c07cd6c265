"""Settings typed in the shop's own units, from a day, with a sentence beside what cannot be read."""

from datetime import date
from typing import Any

import pytest
from flask import Flask

from shopbook.queries.shop.book import get_book, get_units, list_closed_days, list_last_numbers
from shopbook.queries.shop.rates import (
    catalogue_on,
    labour_rates_on,
    materials_rates,
    setting_on,
    settings_on,
    tax_rates_on,
)
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from shopbook.web.shop.particulars_form import UNITS_CHOSEN
from tests.clients import ShopClient, sentences

TODAY = date(2026, 11, 5)
MONEY = {
    "deposit_treatment": "held",
    "quote_valid_days": "30",
    "payment_days": "0",
    "allowance_permille": "0",
    "materials_rule": "refinish_hour",
    "materials_rule_dealer": "",
    "materials_rule_fleet": "",
    "materials_rule_insurer": "refinish_hour",
    "materials_refinish_hour_minor": "42.00",
    "materials_per_paint_hour_minor": "28.00",
    "materials_markup_permille": "40",
    "materials_paint_labour_permille": "35",
    "parts_markup_permille": "25",
    "sublet_markup_permille": "20",
    "second_panel_touching_permille": "40",
    "second_panel_apart_permille": "20",
    "cash_rounding_minor": "0",
    "write_off_limit_minor": "",
}


def ask(app: Flask, query: Any, *args: Any) -> Any:
    """A query's answer on the app's book."""
    with app.app_context():
        found = query(db.session(), *args)
        db.session.remove()
    return found


def test_a_change_for_a_later_day_waits_for_it_and_the_index_says_so(app: Flask, client: ShopClient) -> None:
    page = client.press_on("/settings/money", **(MONEY | {"parts_markup_permille": "27.5", "from_on": "2027-01-01"}))
    assert "Changes to come" in page
    assert "Jan 1, 2027" in page
    assert ask(app, setting_on, SettingName.PARTS_MARKUP_PERMILLE, TODAY) == 250
    assert ask(app, setting_on, SettingName.PARTS_MARKUP_PERMILLE, date(2027, 1, 1)) == 275


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("parts_markup_permille", "a quarter", "Enter a percentage"),
        ("parts_markup_permille", "", "Enter a percentage"),
        ("allowance_permille", "101", "Enter a percentage from 0 to 100"),
        ("quote_valid_days", "0", "Enter a whole number from 1 to 365"),
        ("materials_per_paint_hour_minor", "-2", "not below zero"),
        ("materials_per_paint_hour_minor", "1.234", "at most 2 decimals"),
        ("deposit_treatment", "kept", "Choose one from the list"),
        ("care_words", "x" * 5000, "at most 4000 characters"),
        ("from_on", "31 February 2027", "Enter a day, for example"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_what_was_typed_stays(
    app: Flask, client: ShopClient, field: str, typed: str, sentence: str
) -> None:
    answer = client.press("/settings/money", **(MONEY | {"storage_words": "by the day", field: typed}))
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)
    assert "by the day" in answer.text
    assert ask(app, setting_on, SettingName.STORAGE_WORDS, TODAY) == ""


def test_each_payer_is_charged_for_materials_by_the_rule_that_was_chosen(app: Flask, client: ShopClient) -> None:
    client.press_on("/settings/money", **(MONEY | {"materials_rule": "shelf", "materials_rule_fleet": "paint_labour"}))
    rates = ask(app, lambda session: materials_rates(settings_on(session, TODAY)))
    told = {payer: rates.rule(payer).value for payer in ("private", "dealer", "fleet", "insurer")}
    assert told == {"private": "shelf", "dealer": "shelf", "fleet": "paint_labour", "insurer": "refinish_hour"}
    assert client.press("/settings/money", **(MONEY | {"materials_rule": ""})).status_code == 422


def test_a_temperature_is_typed_in_the_shops_degrees(app: Flask, client: ShopClient) -> None:
    client.press_on("/settings/conditions", shop_temperature="59", has_lamp="y")
    assert ask(app, setting_on, SettingName.SHOP_TEMPERATURE_TENTHS, TODAY) == 150
    assert ask(app, setting_on, SettingName.HAS_LAMP, TODAY) is True
    assert 'value="59"' in client.text("/settings/conditions")
    client.press_on("/settings/conditions", shop_temperature="18 °C")
    assert ask(app, setting_on, SettingName.SHOP_TEMPERATURE_TENTHS, TODAY) == 180
    assert client.press("/settings/conditions", shop_temperature="900").status_code == 422


def test_opening_hours_are_kept_by_weekday_and_a_closed_day_is_empty(app: Flask, client: ShopClient) -> None:
    typed = {"opens_0": "07:30", "closes_0": "16:00", "lunch_begins": "12:00", "lunch_ends": "12:45"}
    client.press_on("/settings/hours", **typed)
    assert ask(app, setting_on, SettingName.OPENING_HOURS, TODAY) == {"0": ["07:30", "16:00"]}
    assert ask(app, setting_on, SettingName.LUNCH, TODAY) == ["12:00", "12:45"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"opens_0": "07:30"}, "Enter both times"),
        ({"opens_0": "17:00", "closes_0": "08:00"}, "Enter a closing time later"),
        ({"opens_0": "08:00", "closes_0": "17:00", "lunch_begins": "12:00"}, "both the start and the end"),
        (
            {"opens_0": "08:00", "closes_0": "17:00", "lunch_begins": "18:00", "lunch_ends": "19:00"},
            "within opening hours",
        ),
        ({"opens_0": "25:00", "closes_0": "17:00"}, "Enter a time"),
    ],
)
def test_hours_that_make_no_sense_are_refused(client: ShopClient, typed: dict[str, str], sentence: str) -> None:
    answer = client.press("/settings/hours", **typed)
    assert answer.status_code == 422
    assert any(sentence in said for said in sentences(answer.text)), sentences(answer.text)


def test_rates_by_payer_are_kept_and_an_emptied_one_goes_back(app: Flask, client: ShopClient) -> None:
    rates = {"body_any": "65", "paint_any": "70", "detail_any": "50", "paint_insurer": "58.50"}
    client.press_on("/settings/labour", **rates)
    assert ask(app, labour_rates_on, TODAY)["paint", "insurer"] == 5850
    client.press_on("/settings/labour", **(rates | {"paint_insurer": ""}))
    assert ask(app, labour_rates_on, TODAY)["paint", "insurer"] == 7000
    assert client.press("/settings/labour", **(rates | {"body_any": ""})).status_code == 422


def test_a_tax_is_changed_added_and_put_under_kinds_of_line(app: Flask, client: ShopClient) -> None:
    assert "Ask your accountant" in client.text("/settings/taxes")
    client.press_on("/settings/taxes/sales", name="Sales tax", rate="8.875")
    client.press_on("/settings/taxes/new", name="City tax", rate="1")
    kinds = dict.fromkeys(["labour", "materials", "part", "colour", "sublet"], "sales") | {"fee": "city_tax"}
    client.press_on("/settings/taxes", **kinds)
    held = {tax.code: (tax.rate_thousandths, tax.line_kinds) for tax in ask(app, tax_rates_on, TODAY)}
    assert held["sales"][0] == 8875
    assert held["city_tax"] == (1000, ["fee"])
    assert held["none"][1] == []


@pytest.mark.parametrize("rate", ["a lot", "101", "-1", "8.8755", ""])
def test_a_rate_of_tax_that_is_none_is_refused(client: ShopClient, rate: str) -> None:
    assert client.press("/settings/taxes/sales", name="Sales tax", rate=rate).status_code == 422


def test_every_kind_of_line_wants_its_tax(client: ShopClient) -> None:
    answer = client.press("/settings/taxes", labour="sales", fee="")
    assert answer.status_code == 422
    assert any("Choose one of the taxes" in said for said in sentences(answer.text))


def test_every_kind_of_unit_that_a_shop_may_choose_stands_on_the_page(client: ShopClient) -> None:
    page = client.text("/settings/particulars")
    assert [kind for kind in UNITS_CHOSEN if f'name="{kind.value}"' not in page] == []


def test_particulars_and_units_are_kept(app: Flask, client: ShopClient) -> None:
    units = {"volume": "L", "mass": "kg", "area": "m²", "length": "mm", "film": "µm"}
    units |= {"temperature": "°C", "distance": "km"}
    given = {"revision": "1", "shop_name": "Söhne & Co", "paper_size": "a4", "zone": "America/Denver"}
    client.press_on("/settings/particulars", **units, **given)
    assert ask(app, get_units).shown(Kind.TEMPERATURE) is Unit.C
    book = ask(app, get_book)
    assert (book.shop_name, book.zone, book.is_tax_invoice) == ("Söhne & Co", "America/Denver", False)
    assert client.press("/settings/particulars", **units, **given).status_code == 409


def test_numbers_go_on_where_the_old_ones_ended(app: Flask, client: ShopClient) -> None:
    last = {"job": "1040", "quote": "0", "invoice": "416", "credit": "0", "receipt": "0", "order": "0"}
    client.press_on("/settings/numbers", **last)
    assert ask(app, list_last_numbers)["invoice"] == 416
    answer = client.press("/settings/numbers", **(last | {"invoice": "12"}))
    assert answer.status_code == 422
    assert any("already used" in said for said in sentences(answer.text))


def test_public_holidays_are_offered_and_closed_by_one_press(app: Flask, client: ShopClient) -> None:
    """Thanksgiving is the fourth Thursday of November (5 U.S.C. 6103); Christmas Day is the 25th of December."""
    assert "Thanksgiving" in client.text("/settings/closed-days")
    client.press_on("/settings/closed-days/public", day="2026-11-26")
    closed = [row.closed_on for row in ask(app, list_closed_days, TODAY, date(2027, 12, 31))]
    assert closed == [date(2026, 11, 26)]
    client.press_on("/settings/closed-days/public")
    assert date(2026, 12, 25) in {row.closed_on for row in ask(app, list_closed_days, TODAY, date(2026, 12, 31))}
    client.press_on("/settings/closed-days/open", day="2026-12-25")
    assert date(2026, 12, 25) not in {row.closed_on for row in ask(app, list_closed_days, TODAY, date(2026, 12, 31))}


@pytest.mark.parametrize(
    "typed",
    [{"first": "2026-12-24", "last": "2026-12-20"}, {"first": "2026-01-01", "last": "2030-01-01"}, {"first": ""}],
)
def test_closed_days_that_make_no_sense_are_refused(client: ShopClient, typed: dict[str, str]) -> None:
    assert client.press("/settings/closed-days", **typed).status_code == 422


def test_a_price_typed_over_ours_is_the_shops_and_the_rest_still_follows_the_hour(
    app: Flask, client: ShopClient
) -> None:
    days = {"days_no_paint": "1", "days_paint": "3", "days_blend": "3"}
    page = client.press_on("/settings/price-list/bonnet", price_M_paint="640", **days)
    assert "640.00" in page
    assert "1 of 180 prices are yours. The rest are our guess" in page
    assert dict(ask(app, catalogue_on, TODAY).prices["bonnet"].set_minor) == {"M.paint": 64000}
    client.press_on("/settings/price-list/bonnet", **days)
    assert dict(ask(app, catalogue_on, TODAY).prices["bonnet"].set_minor) == {}


def test_an_area_is_typed_in_the_shops_unit_and_says_whose_it_is(app: Flask, client: ShopClient) -> None:
    assert "our guess" in client.text("/settings/standards/panel")
    panel = {"fixing": "bolt_on", "substrate": "aluminium", "access": "good", "skin_um": "35", "area_m2": "18"}
    panel |= {"trim_off_minutes": "12", "trim_on_minutes": "15", "fit_minutes": "60", "ding_permille": "1100"}
    page = client.press_on("/settings/standards/panel/bonnet", neighbours="left_front_wing\nright_front_wing", **panel)
    assert "yours" in page
    bonnet = ask(app, catalogue_on, TODAY).panels["bonnet"]
    assert bonnet.area_m2 == pytest.approx(1.672, abs=0.001), "18 square feet, 0.09290304 m² each"
    assert bonnet.neighbours == ("left_front_wing", "right_front_wing")
    answer = client.press("/settings/standards/panel/bonnet", neighbours="nowhere", **panel)
    assert answer.status_code == 422


@pytest.mark.parametrize(
    "url",
    [
        "/settings/moon",
        "/settings/places/999",
        "/settings/taxes/moon",
        "/settings/price-list/moon",
        "/settings/standards/moon",
        "/settings/standards/price",
        "/settings/standards/panel/moon",
        "/people/999",
        "/who/999",
    ],
)
def test_what_is_not_in_the_book_is_not_found(client: ShopClient, url: str) -> None:
    assert client.get(url).status_code == 404


def test_every_kind_of_standard_opens_and_is_kept_as_it_stands(client: ShopClient) -> None:
    for kind in ("stage", "wait", "panel", "mix", "small_dent", "factor", "gun", "material", "number"):
        page = client.text(f"/settings/standards/{kind}")
        code = page.split(f"/settings/standards/{kind}/")[1].split('"')[0]
        assert "Our guess" in client.text(f"/settings/standards/{kind}/{code}")


def test_the_log_shows_who_did_what_and_turns_its_pages(client: ShopClient) -> None:
    for place in range(52):
        client.press("/settings/places", name=f"Bay {place + 10}")
    page = client.text("/log")
    assert page.count("Added a place") == 50
    assert "Noor" in page
    older = page.split('rel="next" href="')[1].split('"')[0]
    assert client.text(older).count("Added a place") == 2


def test_the_log_is_narrowed_to_a_person_or_a_kind_of_thing_and_stays_so_on_its_next_page(client: ShopClient) -> None:
    for place in range(52):
        client.press("/settings/places", name=f"Bay {place + 10}")
    client.press("/shelf/suppliers/new", name="Northside", lead_days="2", is_active="y")
    page = client.text("/log")
    assert "51 lines" not in page
    assert "38 more lines" in page
    assert 'href="/shelf/suppliers/1"' in page
    assert "Nothing was logged here." in client.text("/log?subject=invoice")
    assert "Nothing was logged here." in client.text("/log?job=99")
    assert "Nothing was logged here." in client.text("/log?person=99")
    mine = client.text("/log?person=1")
    assert "Added a place" in mine
    assert "/log?person=1&amp;before=" in mine


def test_switching_whether_prices_hold_the_tax_asks_about_the_list(app: Flask, client: ShopClient) -> None:
    asked = client.press("/settings/money", **MONEY, prices_hold_tax="y")
    assert asked.status_code == 422
    assert any("stay as typed or are converted" in said for said in sentences(asked.text))
    client.press_on("/settings/money", **MONEY, prices_hold_tax="y", list_figures="convert")
    assert ask(app, setting_on, SettingName.MATERIALS_REFINISH_HOUR_MINOR, TODAY) == 4536
    assert "including tax" in client.text("/settings/price-list")


def test_a_tax_can_fall_on_labor_only_beside_a_part_or_paint(app: Flask, client: ShopClient) -> None:
    kinds = dict.fromkeys(("materials", "part", "colour"), "sales") | dict.fromkeys(("sublet", "fee"), "none")
    client.press_on("/settings/taxes", **kinds, labour="sales+goods")
    held = {tax.code: tax.kinds_with_goods for tax in ask(app, tax_rates_on, TODAY)}
    assert held == {"sales": ["labour"], "none": []}
    page = client.text("/settings/taxes")
    assert 'selected value="sales+goods"' in page
    assert "as you set it" in page

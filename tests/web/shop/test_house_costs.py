"""The owner's pages of fixed costs, card fees and paid hours: sentences beside fields, ways back, owner only."""

from datetime import date
from typing import Any

import pytest
from flask import Flask

from shopbook.queries.diary.hands import list_absences
from shopbook.queries.reports.house_costs import read_house_costs
from shopbook.queries.shop.house_costs import list_fixed_costs, list_paid_weeks
from shopbook.queries.shop.rates import setting_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.web.shop.test_undo import undo_on

TODAY = date(2026, 11, 5)
RENT = {"name": "Rent", "amount_minor": "3,000.00", "per": "month", "from_on": "2026-11-01", "until_on": ""}
PAGES = ("/settings/fixed-costs", "/settings/card-fees", "/settings/paid-hours", "/settings/paid-hours/1")


def ask(app: Flask, query: Any, *args: Any) -> Any:
    """A query's answer on the app's book."""
    with app.app_context():
        found = query(db.session(), *args)
        db.session.remove()
    return found


def rent_of_november(app: Flask) -> int:
    with app.app_context():
        shop = ShopOn(db.session(), date(2026, 11, 30))
        found = dict(read_house_costs(shop, date(2026, 11, 1), date(2026, 11, 30)).fixed)
        db.session.remove()
    return found.get("Rent", 0)


@pytest.mark.parametrize("page", PAGES)
def test_what_the_shop_pays_is_the_owners_alone(client: ShopClient, page: str) -> None:
    assert client.get(page).status_code == 200
    assert client.signed_in_as("Desk").get(page).status_code == 403


def test_a_fixed_cost_is_added_ended_continued_removed_and_restored(app: Flask, client: ShopClient) -> None:
    assert "Rent added." in client.press_on("/settings/fixed-costs", **RENT)
    assert rent_of_november(app) == 300_000
    assert "Rent ends today." in client.press_on("/settings/fixed-costs/1/end")
    assert rent_of_november(app) == 50_000
    assert "Rent goes on." in client.press_on("/settings/fixed-costs/1/go-on")
    page = client.press_on("/settings/fixed-costs/1/remove")
    assert "1 removed" in page
    assert "Undo" in page
    assert rent_of_november(app) == 0
    assert "Rent restored." in client.press_on("/settings/fixed-costs/1/restore")
    assert rent_of_november(app) == 300_000


def test_a_higher_rent_from_december_leaves_november(app: Flask, client: ShopClient) -> None:
    client.press_on("/settings/fixed-costs", **RENT)
    page = client.press_on("/settings/fixed-costs/1", **(RENT | {"amount_minor": "3,200.00", "from_on": "2026-12-01"}))
    assert "from Nov 1 to Nov 30" in page
    assert "$3,200.00 per month · from Dec 1" in page
    assert rent_of_november(app) == 300_000


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"name": " "}, "Enter what it is for, for example Rent."),
        ({"amount_minor": ""}, "Enter an amount, for example 120 or 120.50."),
        ({"amount_minor": "much"}, "Enter an amount, for example 120 or 120.50."),
        ({"amount_minor": "0"}, "Enter an amount above zero, for example 120 or 120.50."),
        ({"until_on": "2026-10-01"}, "Enter a last day on or after the first, or leave it empty."),
        ({"name": "R" * 201}, "Enter at most 200 characters."),
    ],
)
def test_a_bad_figure_gets_a_sentence_and_what_was_typed_stays(
    app: Flask, client: ShopClient, given: dict[str, str], sentence: str
) -> None:
    refused = client.press("/settings/fixed-costs", **(RENT | given))
    assert refused.status_code == 422
    assert sentence in sentences(refused.text)
    for typed in given.values():
        assert typed.strip() in refused.text
    assert ask(app, list_fixed_costs) == []


def test_a_press_on_what_was_removed_in_another_tab_is_said(client: ShopClient) -> None:
    client.press_on("/settings/fixed-costs", **RENT)
    client.press_on("/settings/fixed-costs/1/remove")
    assert "was removed meanwhile" in client.press_on("/settings/fixed-costs/1/end")
    assert client.get("/settings/fixed-costs/99").status_code == 404


def test_card_fees_hold_from_a_day(app: Flask, client: ShopClient) -> None:
    page = client.press_on("/settings/card-fees", card_rate="2.6", card_fixed="0.10", from_on="2026-11-05")
    assert "Card fees saved." in page
    assert ask(app, setting_on, SettingName.CARD_FEES, TODAY) == {"card": [2_600, 10]}
    assert ask(app, setting_on, SettingName.CARD_FEES, date(2026, 11, 4)) == {}
    assert 'value="2.6"' in client.text("/settings/card-fees")


@pytest.mark.parametrize("typed", ["much", "101", "-2"])
def test_a_fee_that_is_no_percentage_gets_a_sentence(client: ShopClient, typed: str) -> None:
    refused = client.press("/settings/card-fees", card_rate=typed)
    assert refused.status_code == 422
    assert "Enter a percentage from 0 to 100, for example 2.6." in sentences(refused.text)
    assert f'value="{typed}"' in refused.text


def test_a_person_is_paid_by_the_week_and_by_attendance_again(app: Flask, client: ShopClient) -> None:
    week = {"way": "week", "weekly_minutes": "25", "weekdays": ["0", "1", "2"], "from_on": "2026-11-01"}
    assert "25 h a week, Monday to Wednesday" in client.press_on("/settings/paid-hours/1", **week)
    page = client.press_on("/settings/paid-hours/1", way="attendance", from_on="2026-12-01")
    assert "from Dec 1: by attendance" in page
    assert [line.weekly_minutes for line in ask(app, list_paid_weeks)[1]] == [1_500, None]
    assert "Saved so far" in client.text("/settings/paid-hours/1")


def test_a_week_is_undone_by_a_counter_line_and_so_is_a_removal(app: Flask, client: ShopClient) -> None:
    week = {"way": "week", "weekly_minutes": "25", "weekdays": ["0", "1"], "from_on": "2026-11-01"}
    client.press_on(undo_on(client.press_on("/settings/paid-hours/1", **week)))
    assert [line.weekly_minutes for line in ask(app, list_paid_weeks)[1]] == [1_500, None]
    client.press_on("/settings/paid-hours/1", **week)
    again = client.press_on("/settings/paid-hours/1", **(week | {"weekly_minutes": "30"}))
    client.press_on(undo_on(again))
    last = ask(app, list_paid_weeks)[1][-1]
    assert (last.weekly_minutes, last.weekdays) == (1_500, frozenset({0, 1}))
    client.press_on("/settings/fixed-costs", **RENT)
    client.press_on(undo_on(client.press_on("/settings/fixed-costs/1/remove")))
    assert rent_of_november(app) == 300_000


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"weekly_minutes": ""}, "Enter the hours paid a week, for example 40 or 37.5."),
        ({"weekly_minutes": "200"}, "Enter hours from 0 to 168, for example 40 or 37.5."),
        ({"weekdays": []}, "Tick the usual days, for example Monday to Friday."),
    ],
)
def test_a_week_that_cannot_be_gets_a_sentence(
    app: Flask, client: ShopClient, given: dict[str, Any], sentence: str
) -> None:
    week = {"way": "week", "weekly_minutes": "25", "weekdays": ["0"], "from_on": "2026-11-01"}
    refused = client.press("/settings/paid-hours/1", **(week | given))
    assert refused.status_code == 422
    assert sentence in sentences(refused.text)
    assert ask(app, list_paid_weeks) == {}


def test_on_costs_hold_from_a_day(app: Flask, client: ShopClient) -> None:
    client.press_on("/settings/paid-hours", on_costs_permille="21.5", from_on="2026-11-01")
    assert ask(app, setting_on, SettingName.ON_COSTS_PERMILLE, TODAY) == 215
    refused = client.press("/settings/paid-hours", on_costs_permille="")
    assert "Enter a percentage, or 0 where the cost per hour holds them already." in sentences(refused.text)


def test_time_off_is_paid_unless_it_is_ticked(app: Flask, client: ShopClient) -> None:
    away = {"person_id": "1", "minutes_away": "", "why": "", "last": ""}
    client.press_on("/diary/away", **away, first="2026-11-09")
    page = client.press_on("/diary/away", **away, first="2026-11-10", is_unpaid="y")
    assert "not paid" in page
    rows = ask(app, list_absences, date(2026, 11, 9), date(2026, 11, 10))
    assert [row.absence.is_paid for row in rows] == [True, False]

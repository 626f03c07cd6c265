"""The price list as a page: typed as one sheet, raised after a look, refused where it is stale, taken back by Undo."""

from collections.abc import Mapping
from datetime import date

import pytest
from flask import Flask
from lxml import html

from shopbook.models.session import transaction
from shopbook.models.shop import LogLine, Setting
from shopbook.queries.shop.rates import catalogue_on, setting_on
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient, refused_fields, sentences
from tests.conftest import NOON

TODAY = date(2026, 11, 5)
LIST = "/settings/price-list"


def own(app: Flask, code: str) -> dict[str, int]:
    """The prices of a panel that the shop set."""
    with app.app_context():
        found = dict(catalogue_on(db.session(), TODAY).prices[code].set_minor)
        db.session.remove()
    return found


def values(page: str) -> dict[str, str]:
    """What the sheet's form would send."""
    fields = html.fromstring(page).xpath("//form[.//table]//input[@name]")
    return {each.get("name"): each.get("value") or "" for each in fields if each.get("name") not in ("act_key",)}


def save(client: ShopClient, page: str, changed: Mapping[str, str], **more: str) -> str:
    """Save the sheet as it was read, with these figures typed over."""
    typed = {name: value for name, value in values(page).items() if name != "csrf_token"}
    return client.press_on(LIST, **(typed | dict(changed) | more))


def lines(client: ShopClient) -> int:
    """How many lines the log has."""
    return client.count(LogLine)


def test_a_price_typed_for_both_sides_is_kept_for_both_and_nothing_else_becomes_the_shops(
    app: Flask, client: ShopClient
) -> None:
    before = lines(client)
    page = save(client, client.text(LIST), {"price_front_door_M": "640", "price_bonnet_S": "1,055.50"})
    assert "3 prices saved." in page
    assert own(app, "left_front_door") == own(app, "right_front_door") == {"M.paint": 64000}
    assert own(app, "bonnet") == {"S.paint": 105550}
    assert own(app, "roof") == {}
    assert lines(client) == before + 1, "one act, one line in the log"
    assert "3 of 180 prices are yours" in page
    save(client, client.text(LIST), {"price_front_door_M": ""})
    assert own(app, "left_front_door") == {}


def test_the_whole_list_is_looked_at_five_percent_up_saved_as_one_act_and_undone(
    app: Flask, client: ShopClient
) -> None:
    with app.app_context(), transaction(db.session()) as session:
        session.add(Setting(name=SettingName.LIST_STEP_MINOR, value=500, from_on=TODAY, at=NOON))
    save(client, client.text(LIST), {"price_bonnet_M": "137", "price_roof_M": "0"})
    preview = client.text(f"{LIST}?raises=5")
    assert values(preview)["price_bonnet_M"] == "145.00"
    assert values(preview)["price_roof_M"] == "0.00"
    assert "Rounded to 5.00" in preview
    assert own(app, "bonnet") == {"M.paint": 13700}, "looking changes nothing"
    before = lines(client)
    save(client, preview, {"price_bonnet_L": "1500"})
    assert lines(client) == before + 1
    raised = own(app, "bonnet")
    assert (raised["M.paint"], raised["L.paint"]) == (14500, 150000)
    assert {"M.blend", "S.no_paint"} < set(raised), "the other kinds of work are raised with it"
    assert own(app, "roof")["M.paint"] == 0


def test_undo_takes_the_whole_rise_back(app: Flask, client: ShopClient) -> None:
    page = save(client, client.text(f"{LIST}?raises=5"), {})
    assert own(app, "bonnet") != {}
    form = html.fromstring(page).xpath("//form[contains(@action, 'undo')]")[0]
    fields = {each.get("name"): each.get("value") for each in form.xpath(".//input[@name]")}
    client.press(
        form.get("action"), **{name: value for name, value in fields.items() if name not in ("csrf_token", "act_key")}
    )
    assert own(app, "bonnet") == {}


def test_of_two_tabs_the_second_save_is_refused_with_a_sentence(app: Flask, client: ShopClient) -> None:
    first = second = client.text(LIST)
    save(client, first, {"price_bonnet_M": "640"})
    typed = {name: value for name, value in values(second).items() if name != "csrf_token"}
    answer = client.press(LIST, **(typed | {"price_bonnet_M": "655"}))
    assert answer.status_code == 409
    assert "Someone changed the price list meanwhile" in answer.text
    assert values(answer.text)["price_bonnet_M"] == "655"
    assert own(app, "bonnet") == {"M.paint": 64000}


def test_what_cannot_be_read_is_said_beside_each_field_at_once_and_what_was_typed_stays(
    app: Flask, client: ShopClient
) -> None:
    typed = {name: value for name, value in values(client.text(LIST)).items() if name != "csrf_token"}
    wrong = {"price_front_door_M": "a lot", "price_bonnet_L": "-5", "price_roof_S": "1.234", "price_tailgate_S": "640"}
    answer = client.press(LIST, **(typed | wrong))
    assert answer.status_code == 422
    assert set(refused_fields(answer.text)) == {"price_front_door_M", "price_bonnet_L", "price_roof_S"}
    assert len(sentences(answer.text)) >= 3
    assert {name: values(answer.text)[name] for name in wrong} == wrong
    assert own(app, "tailgate") == {}


def test_where_a_shop_set_the_sides_apart_both_stand_and_it_is_asked_once(app: Flask, client: ShopClient) -> None:
    days = {"days_no_paint": "1", "days_paint": "3", "days_blend": "3"}
    page = client.press_on(f"{LIST}/left_front_door", price_M_paint="640", **days)
    assert "Left and right differ: 1 panel" in page
    assert {"price_left_front_door_M", "price_right_front_door_M"} < set(values(page))
    revision = values(page)["revision"]
    kept = client.press_on(f"{LIST}/sides", side="apart", revision=revision)
    assert "Left and right differ" not in kept
    assert "price_left_front_door_M" in values(kept)
    joined = client.press_on(f"{LIST}/sides", side="left", revision=revision)
    assert "price_front_door_M" in values(joined)
    assert own(app, "right_front_door") == {"M.paint": 64000}
    assert client.press(f"{LIST}/sides", side="middle").status_code == 404


def test_what_a_second_panel_saves_is_typed_beside_the_list_with_its_example(app: Flask, client: ShopClient) -> None:
    page = client.press_on(
        f"{LIST}/second-panel", second_panel_touching_permille="35", second_panel_apart_permille="20"
    )
    assert "Saved." in page
    with app.app_context():
        assert setting_on(db.session(), SettingName.SECOND_PANEL_TOUCHING_PERMILLE, TODAY) == 350
        db.session.remove()
    answer = client.press(
        f"{LIST}/second-panel", second_panel_touching_permille="a third", second_panel_apart_permille=""
    )
    assert refused_fields(answer.text) == ["second_panel_touching_permille", "second_panel_apart_permille"]


def test_chips_are_priced_by_minutes_that_the_shop_types_in_one_act(app: Flask, client: ShopClient) -> None:
    before = lines(client)
    page = client.press_on(f"{LIST}/chips", chip_fixed_minutes="20", chip_minutes="1,5", chips_touch_most="30")
    assert "Your own minutes" not in page, "one of the three is still ours"
    with app.app_context():
        numbers = catalogue_on(db.session(), TODAY).numbers
        assert [numbers[code].value for code in ("chip_fixed_minutes", "chip_minutes", "chips_touch_most")] == [
            20,
            1.5,
            30,
        ]
        db.session.remove()
    assert lines(client) == before + 1
    answer = client.press(f"{LIST}/chips", chip_fixed_minutes="soon", chip_minutes="", chips_touch_most="2.5")
    assert answer.status_code == 422
    assert len(refused_fields(answer.text)) == 3


def test_small_dents_show_their_price_by_count_and_size(client: ShopClient) -> None:
    page = html.fromstring(client.text(f"{LIST}/small-dents"))
    assert len(page.xpath("//table//tr")) == 10
    assert len(page.xpath("//ul//a[contains(@href, 'small_dent')]")) == 5


@pytest.mark.parametrize("way", ["moon", "", "PAINT"])
def test_a_way_that_there_is_not_is_not_found(client: ShopClient, way: str) -> None:
    assert client.get(f"{LIST}?way={way}").status_code == 404

"""The sheet, materials, counts, waste and pots, pressed as the desk and the floor press them."""

import re
from typing import Any

import pytest
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shelf import CountLine, Material, Movement
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.shelf import make_material
from tests.web.rendering import find, parse, seen_rows


def rows(client: ShopClient, model: type[Any]) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(model).order_by(model.id)))


def test_the_sheet_shows_packs_and_never_a_zero_for_what_nobody_counted(stocked: ShopClient) -> None:
    page = stocked.text("/shelf/")
    assert "2 × 1 L" in page
    filler = page[page.index("Filler, lightweight") :].partition("</li>")[0]
    assert "not counted" in filler
    assert not re.search(r">\s*(0 g|none)", filler)


def test_a_material_is_found_by_its_shelf(stocked: ShopClient) -> None:
    page = stocked.text("/shelf/?q=shelf+b")
    assert "Clear, medium solids" in page
    assert "Masking tape" not in page
    assert "No material matches." in stocked.text("/shelf/?q=nothing+of+the+kind")


def test_what_needs_something_stands_open_and_what_is_enough_under_one_line(stocked: ShopClient) -> None:
    counted = {"lines-0-material_id": "1", "lines-0-packs": "0", "lines-1-material_id": "3", "lines-1-packs": "2"}
    stocked.press_on("/shelf/count", **counted)
    page = parse(stocked.text("/shelf/"))
    assert [each.text_content() for each in page.xpath("//ul[contains(@class, 'rows')]//a/b")] == [
        "Clear, medium solids"
    ]
    assert [each.text_content() for each in page.xpath("//main//summary")][1:] == [
        "Enough: 1 material",
        "Not counted: 1 material",
    ]
    assert [each.text_content() for each in find(page, "button") if not each.get("hidden")] == [
        "Add to order",
        "Opened one",
    ]


def test_two_hundred_more_materials_to_order_add_one_line(stocked: ShopClient) -> None:
    with stocked.app.app_context(), transaction(db.session()) as session:
        for number in range(6):
            make_material(session, f"Discs {number}").is_counted = True
    few = parse(stocked.text("/shelf/"))
    with stocked.app.app_context(), transaction(db.session()) as session:
        for number in range(200):
            make_material(session, f"Pads {number}").is_counted = True
    many = parse(stocked.text("/shelf/"))
    assert len(seen_rows(many)) == len(seen_rows(few)) == 5
    assert "201 more materials" in [each.text_content() for each in find(many, "summary")]


def test_a_shelf_that_nobody_counted_asks_to_be_walked(client: ShopClient) -> None:
    with client.app.app_context(), transaction(db.session()) as session:
        make_material(session, "Discs P80")
    page = client.text("/shelf/")
    assert "Walk the shelf" in page
    assert "Short or to order" not in page


def test_only_what_was_touched_is_counted(stocked: ShopClient) -> None:
    stocked.press_on(
        "/shelf/count",
        **{
            "lines-0-material_id": "1",
            "lines-0-packs": "1",
            "lines-0-quarters": "3",
            "lines-1-material_id": "2",
            "lines-1-packs": "",
            "lines-2-material_id": "3",
            "lines-2-packs": "",
        },
    )
    clear, filler, _ = rows(stocked, Material)
    assert clear.on_hand_thousandths == 1_750_000
    assert not filler.is_counted


def test_where_the_book_is_right_one_press_counts_and_a_figure_goes_before_it(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count", **{"lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-quarters": "3"})
    page = stocked.text("/shelf/count")
    assert page.count("As the book says") == 1, "of what was never counted the book says nothing"
    right = {"lines-0-material_id": "1", "lines-0-is_as_booked": "y"}
    stocked.press_on("/shelf/count", **right)
    stocked.press_on("/shelf/count", **right, **{"lines-0-packs": "2"})
    lines = [(line.seen_thousandths, line.book_thousandths) for line in rows(stocked, CountLine)]
    assert lines[1:] == [(1_750_000, 1_750_000), (2_000_000, 1_750_000)]
    assert rows(stocked, CountLine)[1].movement_id is None


def test_an_empty_shelf_can_be_counted_as_nothing(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count?material=2", **{"lines-0-material_id": "2", "lines-0-packs": "0"})
    filler = rows(stocked, Material)[1]
    assert filler.is_counted
    assert filler.on_hand_thousandths == 0
    assert stocked.press("/shelf/count").status_code == 422


def test_waste_is_recorded_in_the_shops_own_words(stocked: ShopClient) -> None:
    page = stocked.press_on("/shelf/1/waste", amount="250 ml", lot_id="0", cause="hardened", words="lid left off")
    assert "hardened: lid left off" in page
    assert rows(stocked, Material)[0].on_hand_thousandths == 1_750_000
    answer = stocked.press("/shelf/1/waste", amount="3 miles", lot_id="0", cause="spilled")
    assert answer.status_code == 422
    assert "3 miles" in answer.text


def test_a_pack_of_shop_supplies_is_used_by_one_press(stocked: ShopClient) -> None:
    assert "opened and used" in stocked.press_on("/shelf/3/open")
    assert rows(stocked, Movement)[-1].quantity_thousandths == -24_000
    assert "counted on each job" in stocked.press_on("/shelf/1/open")


def test_a_material_is_added_with_a_pack_in_any_unit(client: ShopClient) -> None:
    page = client.press_on(
        "/shelf/new",
        name="Clear <fast> & thin",
        way="measured",
        unit="ml",
        pack="1 gal",
        pack_name="gallon",
        order_at="¾",
        supplier_id="0",
        role="",
        solids_percent="42",
    )
    assert "Clear &lt;fast&gt; &amp; thin" in page
    assert "Not counted" in page
    assert "42 %" in page
    assert rows(client, Material)[0].pack_thousandths == 3_785_412


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": ""}, "Enter a name"),
        ({"name": "x" * 201}, "at most 200 characters"),
        ({"name": "masking TAPE"}, "has that name"),
        ({"pack": "a lot"}, "Enter the volume as a number in ml"),
        ({"pack": "0"}, "greater than zero"),
        ({"order_at": "-1"}, "Enter a number of packs"),
        ({"pack_price": "dear"}, "Enter an amount"),
        ({"role": "a role of nobody"}, "Choose one from the list"),
    ],
)
def test_a_bad_material_is_said_beside_its_field(stocked: ShopClient, changed: dict[str, str], sentence: str) -> None:
    good = {
        "name": "Thinner",
        "way": "measured",
        "unit": "ml",
        "pack": "5 L",
        "pack_name": "5 L",
        "order_at": "1",
        "supplier_id": "0",
        "role": "",
        "shelf_place": "by the booth",
    }
    answer = stocked.press("/shelf/new", **good | changed)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "by the booth" in answer.text


def test_a_change_keeps_what_the_form_showed(stocked: ShopClient) -> None:
    shown = stocked.text("/shelf/1/change")
    assert 'value="1000 ml"' in shown
    assert 'value="40.00"' in shown
    page = stocked.press_on(
        "/shelf/1/change",
        name="Clear, high solids",
        way="measured",
        unit="ml",
        pack="1000 ml",
        pack_name="1 L",
        order_at="1",
        supplier_id="1",
        role="clear",
        revision="1",
    )
    assert "Clear, high solids" in page
    answer = stocked.press("/shelf/1/change", name="Other", pack="1 L", pack_name="1 L", order_at="1", revision="1")
    assert answer.status_code in {409, 422}


def test_waste_from_a_negative_book_says_so(stocked: ShopClient) -> None:
    """2,000 ml in the book and 2,250 ml wasted: −250 ml, and the next page of waste warns before it is typed."""
    assert "below zero" not in stocked.text("/shelf/1/waste")
    page = stocked.press_on("/shelf/1/waste", amount="2250 ml", lot_id="0", cause="hardened", words="")
    assert "more was used than it knew of. Count Clear, medium solids." in page
    assert "below zero" in stocked.text("/shelf/1/waste")


def test_pots_are_kept_found_and_cleared(client: ShopClient) -> None:
    page = client.press_on("/shelf/pots", name="dark blue base", colour_code="H4", amount="120 ml")
    assert "dark blue base, H4" in page
    assert "dark blue" in client.text("/shelf/pots?q=h4")
    assert "No pots yet." in client.press_on("/shelf/pots/1/clear")


@pytest.mark.parametrize(
    "url",
    [
        "/shelf/99",
        "/shelf/99/change",
        "/shelf/99/waste",
        "/shelf/orders/99",
        "/shelf/orders/99/order.pdf",
        "/shelf/deliveries/99",
        "/shelf/deliveries/lines/99/price",
        "/shelf/suppliers/99",
        "/shelf/deliver?order=99",
    ],
)
def test_what_is_not_there_is_a_page_and_not_an_error(stocked: ShopClient, url: str) -> None:
    assert stocked.get(url).status_code == 404


def test_the_range_of_the_data_sheet_is_typed_in_the_shops_degrees_and_emptied_again(stocked: ShopClient) -> None:
    given = {
        "revision": "1", "name": "Clear", "way": "measured", "unit": "ml", "pack": "1 L", "pack_name": "1 L",
        "order_at": "2", "supplier_id": "0", "role": "clear", "lowest_tenths": "59", "highest_tenths": "95",
        "most_humidity": "75",
    }  # fmt: skip
    page = stocked.press_on("/shelf/1/change", **given)
    assert "59°F to 95°F, at most 75 % humidity" in page
    assert 'value="59"' in stocked.text("/shelf/1/change")
    refused = stocked.press("/shelf/1/change", **given | {"revision": "2", "highest_tenths": "40"})
    assert refused.status_code == 422
    assert "above the lowest" in refused.text
    emptied = given | {"revision": "2", "lowest_tenths": "", "highest_tenths": "", "most_humidity": ""}
    assert "59°F" not in stocked.press_on("/shelf/1/change", **emptied)
    assert "tenths" not in rows(stocked, Material)[0].sheet


def test_a_rack_that_is_right_is_counted_with_one_tick_and_a_figure_goes_before_it(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count", **{"lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-quarters": "3"})
    lines = {"lines-0-material_id": "1", "lines-1-material_id": "2"}
    stocked.press_on("/shelf/count", racks="shelf B", **lines)
    stocked.press_on("/shelf/count", racks="shelf B", **lines, **{"lines-0-packs": "2"})
    found = [(line.material_id, line.seen_thousandths, line.book_thousandths) for line in rows(stocked, CountLine)]
    assert found[1:] == [(1, 1_750_000, 1_750_000), (1, 2_000_000, 1_750_000)]
    assert not rows(stocked, Material)[1].is_counted, "of another place, and never counted"
    assert stocked.press("/shelf/count", racks="rack Z", **lines).status_code == 422


def test_racks_fold_and_one_that_is_looked_for_stands_open(stocked: ShopClient) -> None:
    with stocked.app.app_context(), transaction(db.session()) as session:
        for number in range(20):
            make_material(session, f"Pads {number}", shelf_place="rack C").is_counted = True
    folded = parse(stocked.text("/shelf/count"))
    assert {each.get("open") for each in find(folded, "details", class_="rest")} == {None}
    assert "All of this rack is right: rack C" in " ".join(folded.text_content().split())
    looked_for = parse(stocked.text("/shelf/count?q=Pads"))
    assert {each.get("open") for each in find(looked_for, "details", class_="rest")} == {""}

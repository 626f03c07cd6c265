"""The shelf's pages, pressed as the desk and the floor press them."""

import re
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from sqlalchemy import select

from shopbook.models.session import transaction
from shopbook.models.shelf import Delivery, Material, Movement, OrderLine
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.shelf import make_delivery, make_material, make_supplier


@pytest.fixture
def stocked(client: ShopClient) -> ShopClient:
    """A shelf with two litres of clear (1), uncounted filler (2) and tape for the shop floor (3)."""
    with client.app.app_context(), transaction(db.session()) as session:
        north = make_supplier(session)
        clear = make_material(session, supplier_id=north.id, shelf_place="shelf B", shelf_life_days=600)
        make_material(
            session, "Filler, lightweight", unit="g", pack_thousandths=1_500_000, pack_name="1.5 kg", role="filler"
        )
        tape = make_material(
            session, "Masking tape", unit="piece", way="floor", pack_thousandths=24_000, pack_name="box", role="tape"
        )
        make_delivery(session, clear, 2)
        make_delivery(session, tape, 2, 5000)
        db.session.expunge_all()
    return client


def rows(client: ShopClient, model: type[Any]) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(model).order_by(model.id)))


def test_the_sheet_shows_packs_and_never_a_nought_for_what_nobody_counted(stocked: ShopClient) -> None:
    page = stocked.text("/shelf/")
    assert "2 × 1 L" in page
    filler = page[page.index("Filler, lightweight") :].partition("</tr>")[0]
    assert "not counted" in filler
    assert not re.search(r">\s*(0 g|none)", filler)


def test_a_material_is_found_by_its_shelf(stocked: ShopClient) -> None:
    page = stocked.text("/shelf/?q=shelf+b")
    assert "Clear, medium solids" in page
    assert "Masking tape" not in page
    assert "called that" in stocked.text("/shelf/?q=nothing+of+the+kind")


def test_a_delivery_is_taken_in_and_a_new_price_is_said(stocked: ShopClient) -> None:
    page = stocked.press_on(
        "/shelf/deliver",
        **{
            "supplier_id": "1",
            "on": "2026-11-05",
            "freight": "5",
            "lines-0-material_id": "1",
            "lines-0-packs": "1½",
            "lines-0-cost": "66.00",
            "lines-0-mark": "B 17",
            "lines-0-expires_on": "2028-01-12",
            "lines-1-material_id": "0",
        },
    )
    assert "1 L now costs $44.00, before $40.00" in page
    assert "$71.00" in page
    assert "B 17" in stocked.text("/shelf/1")
    assert "3½ × 1 L" in stocked.text("/shelf/")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Say what came"),
        ({"lines-0-material_id": "1", "lines-0-cost": "4"}, "how many packs came"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1"}, "what the line cost"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1.3", "lines-0-cost": "4"}, "counted in quarters"),
        ({"lines-0-material_id": "1", "lines-0-packs": "many", "lines-0-cost": "4"}, "Type packs in figures"),
        ({"lines-0-material_id": "99", "lines-0-packs": "1", "lines-0-cost": "4"}, "Not a valid choice"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-cost": "-4"}, "below nought"),
        ({"on": "2026-12-24", "lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-cost": "4"}, "still to come"),
    ],
)
def test_a_bad_line_is_said_and_what_was_typed_stays(
    stocked: ShopClient, fields: dict[str, str], sentence: str
) -> None:
    answer = stocked.press(
        "/shelf/deliver", **{"supplier_id": "0", "on": "2026-11-05", "note_number": "N 4711"} | fields
    )
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "N 4711" in answer.text
    assert len(rows(stocked, Delivery)) == 2


def test_more_lines_keep_what_was_typed(stocked: ShopClient) -> None:
    answer = stocked.press("/shelf/deliver", **{"supplier_id": "1", "more": "1", "lines-0-mark": "kept"})
    assert answer.status_code == 200
    assert "kept" in answer.text
    assert "lines-4-packs" in answer.text


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


def test_an_empty_shelf_can_be_counted_as_nothing(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count?material=2", **{"lines-0-material_id": "2", "lines-0-packs": "0"})
    filler = rows(stocked, Material)[1]
    assert filler.is_counted
    assert filler.on_hand_thousandths == 0
    assert stocked.press("/shelf/count").status_code == 422


def test_waste_is_written_off_in_the_shops_own_words(stocked: ShopClient) -> None:
    page = stocked.press_on("/shelf/1/waste", amount="250 ml", lot_id="0", cause="hardened", words="lid left off")
    assert "hardened: lid left off" in page
    assert rows(stocked, Material)[0].on_hand_thousandths == 1_750_000
    answer = stocked.press("/shelf/1/waste", amount="3 miles", lot_id="0", cause="spilt")
    assert answer.status_code == 422
    assert "3 miles" in answer.text


def test_a_pack_of_the_shop_floor_is_spent_by_one_press(stocked: ShopClient) -> None:
    assert "opened, and spent" in stocked.press_on("/shelf/3/open")
    assert rows(stocked, Movement)[-1].quantity_thousandths == -24_000
    assert "stage by stage" in stocked.press_on("/shelf/1/open")


def test_an_order_goes_from_the_list_to_the_delivery(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count", **{"lines-0-material_id": "1", "lines-0-packs": "0", "lines-0-quarters": "2"})
    page = stocked.text("/shelf/reorder")
    assert "Northside Paint Supply" in page
    assert "1 × 1 L is left" in page
    page = stocked.press_on("/shelf/reorder/1")
    assert "1 × Clear, medium solids, 1 L" in page
    page = stocked.press_on("/shelf/orders/1", due_on="2026-11-09")
    assert "Order 1 is sent." in page
    pdf = stocked.get("/shelf/orders/1/order.pdf")
    assert "Clear, medium solids" in PdfReader(BytesIO(pdf.data)).pages[0].extract_text()
    shown = stocked.text("/shelf/deliver?order=1")
    line_id = re.search(r'name="lines-0-order_line_id"[^>]*value="(\d+)"', shown)
    assert line_id
    page = stocked.press_on(
        "/shelf/deliver?order=1",
        **{
            "supplier_id": "1",
            "on": "2026-11-05",
            "lines-0-order_line_id": line_id[1],
            "lines-0-material_id": "1",
            "lines-0-packs": "1",
            "lines-0-cost": "40",
        },
    )
    assert "The order is complete." in page


def test_a_line_of_an_order_is_changed_until_it_is_sent(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/1/order")
    stocked.press_on("/shelf/orders/1/lines/1", packs="5")
    assert rows(stocked, OrderLine)[0].packs == 5
    answer = stocked.press("/shelf/orders/1/lines/1", packs="lots")
    assert answer.status_code == 422
    stocked.press_on("/shelf/orders/1")
    assert "gone out already" in stocked.press("/shelf/orders/1/lines/1", packs="6").text


def test_an_order_without_a_supplier_learns_one(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/2/order")
    assert "Northside" in stocked.press_on("/shelf/orders/1/supplier", supplier_id="1")
    assert rows(stocked, Material)[1].supplier_id == 1


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
        ({"name": ""}, "Type a name"),
        ({"name": "x" * 201}, "At most 200 letters"),
        ({"name": "masking TAPE"}, "has that name"),
        ({"pack": "a lot"}, "Type"),
        ({"pack": "0"}, "more than nothing"),
        ({"order_at": "-1"}, "Type packs in figures"),
        ({"pack_price": "dear"}, "Type an amount"),
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


def test_a_price_is_put_right_and_goods_go_back(stocked: ShopClient) -> None:
    assert "90.00" in stocked.press_on("/shelf/deliveries/lines/1/price", cost="90.00")
    assert "wrong hardener" in stocked.press_on(
        "/shelf/1/send-back", amount="1 pack", credit="40", lot_id="0", reason="wrong hardener"
    )
    assert stocked.press("/shelf/1/send-back", amount="1 pack", lot_id="0").status_code == 422


def test_pots_are_kept_found_and_cleared(client: ShopClient) -> None:
    page = client.press_on("/shelf/pots", name="harbour blue, base", colour_code="H4", amount="120 ml")
    assert "harbour blue, base, H4" in page
    assert "harbour blue" in client.text("/shelf/pots?q=h4")
    assert "No pot is kept." in client.press_on("/shelf/pots/1/clear")


def test_suppliers_are_added_and_changed(client: ShopClient) -> None:
    assert "Northside" in client.press_on("/shelf/suppliers/new", name="Northside", lead_days="2", is_active="y")
    assert "comes in 3 days" in client.press_on(
        "/shelf/suppliers/1", name="Northside", lead_days="3", is_active="y", revision="1"
    )
    assert client.press("/shelf/suppliers/new", name="NORTHSIDE", lead_days="1").status_code == 422


def test_the_floor_counts_and_wastes_and_sees_no_price(stocked: ShopClient) -> None:
    stocked.signed_in_as("Dana")
    for url in ("/shelf/", "/shelf/1", "/shelf/count", "/shelf/1/waste", "/shelf/pots", "/shelf/waste"):
        assert "$" not in stocked.text(url)
    for url in (
        "/shelf/deliver",
        "/shelf/orders",
        "/shelf/reorder",
        "/shelf/suppliers",
        "/shelf/new",
        "/shelf/1/change",
    ):
        assert stocked.get(url).status_code == 403


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


def test_a_double_press_takes_a_delivery_in_once(stocked: ShopClient) -> None:
    fields = {
        "supplier_id": "0",
        "on": "2026-11-05",
        "lines-0-material_id": "1",
        "lines-0-packs": "1",
        "lines-0-cost": "1",
    }
    answers = [stocked.press("/shelf/deliver", key="one", **fields) for _ in range(2)]
    assert len(rows(stocked, Delivery)) == 3
    assert len({answer.headers["Location"] for answer in answers}) == 1

"""Deliveries, orders and suppliers, pressed as the desk presses them."""

import re
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from sqlalchemy import select

from shopbook.models.shelf import Delivery, Material, OrderLine
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON


def rows(client: ShopClient, model: type[Any]) -> list[Any]:
    with client.app.app_context():
        return list(db.session.scalars(select(model).order_by(model.id)))


def test_a_delivery_is_saved_and_a_new_price_is_said(stocked: ShopClient) -> None:
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
    assert "1 L now costs $44.00, was $40.00" in page
    assert "$71.00" in page
    assert "B 17" in stocked.text("/shelf/1")
    assert "3½ × 1 L" in stocked.text("/shelf/")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Enter at least one material"),
        ({"lines-0-material_id": "1", "lines-0-cost": "4"}, "how many packs came"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1"}, "what the line cost"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1.3", "lines-0-cost": "4"}, "whole or quarter packs"),
        ({"lines-0-material_id": "1", "lines-0-packs": "many", "lines-0-cost": "4"}, "Enter a number of packs"),
        ({"lines-0-material_id": "99", "lines-0-packs": "1", "lines-0-cost": "4"}, "Choose one from the list"),
        ({"lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-cost": "-4"}, "below zero"),
        ({"on": "2026-12-24", "lines-0-material_id": "1", "lines-0-packs": "1", "lines-0-cost": "4"}, "in the future"),
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


def test_an_order_goes_from_the_list_to_the_delivery(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count", **{"lines-0-material_id": "1", "lines-0-packs": "0", "lines-0-quarters": "2"})
    page = stocked.text("/shelf/reorder")
    assert "Northside Paint Supply" in page
    assert "You order at 1 × 1 L." in page
    assert "Recent use" in page
    assert "Not enough use on record" in page
    page = stocked.press_on("/shelf/reorder/1")
    assert "1 × Clear, medium solids, 1 L" in page
    assert "Open order" in stocked.text("/shelf/reorder")
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


def test_an_order_past_its_day_is_late_wherever_it_is_seen(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/count", **{"lines-0-material_id": "1", "lines-0-packs": "0"})
    stocked.press_on("/shelf/1/order")
    stocked.press_on("/shelf/orders/1", due_on="2026-11-06")
    places = ("/shelf/", "/shelf/1", "/shelf/orders/1", "/today")
    assert not [place for place in places if "late, due" in stocked.text(place)]
    assert ">on order</span>" in stocked.text("/shelf/")
    stocked.app.config["CLOCK"] = lambda: NOON + timedelta(days=4)
    assert [place for place in places if "late, due" in stocked.text(place)] == list(places)
    page = stocked.text("/shelf/")
    assert "Late from suppliers" in page
    assert "order late" in page
    assert 'href="/shelf/deliver?order=1"' in page
    stocked.press_on("/shelf/orders/1/close")
    assert not [place for place in places if "late, due" in stocked.text(place)]


def test_a_line_of_an_order_is_changed_until_it_is_sent(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/1/order")
    stocked.press_on("/shelf/orders/1/lines/1", packs="5")
    assert rows(stocked, OrderLine)[0].packs == 5
    answer = stocked.press("/shelf/orders/1/lines/1", packs="lots")
    assert answer.status_code == 422
    stocked.press_on("/shelf/orders/1")
    assert "sent or closed" in stocked.press("/shelf/orders/1/lines/1", packs="6").text


def test_an_order_without_a_supplier_learns_one(stocked: ShopClient) -> None:
    stocked.press_on("/shelf/2/order")
    assert "Northside" in stocked.press_on("/shelf/orders/1/supplier", supplier_id="1")
    assert rows(stocked, Material)[1].supplier_id == 1


def test_a_price_is_put_right_and_goods_go_back(stocked: ShopClient) -> None:
    assert "90.00" in stocked.press_on("/shelf/deliveries/lines/1/price", cost="90.00")
    assert "wrong hardener" in stocked.press_on(
        "/shelf/1/send-back", amount="1 pack", credit="40", lot_id="0", reason="wrong hardener"
    )
    assert stocked.press("/shelf/1/send-back", amount="1 pack", lot_id="0").status_code == 422


def test_suppliers_are_added_and_changed(client: ShopClient) -> None:
    assert "Northside" in client.press_on("/shelf/suppliers/new", name="Northside", lead_days="2", is_active="y")
    assert "delivers in 3 days" in client.press_on(
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

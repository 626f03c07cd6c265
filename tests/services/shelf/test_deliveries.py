"""Deliveries are taken in: whole, in parts, with carriage, with lots, at new prices."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shelf import DeliveryLine, Lot, Movement
from shopbook.queries.shelf.orders import get_order
from shopbook.services.act import Act
from shopbook.services.shelf.deliveries import Came, take_in_delivery
from shopbook.services.shelf.orders import Wanted, close_order, draft_orders, send_order
from shopbook.trade.errors import RuleBroken
from tests.asking import list_on_order
from tests.makers.shelf import make_material, make_supplier


def test_carriage_is_shared_by_value_and_to_the_cent(session: Session, act: Act) -> None:
    clear = make_material(session)
    filler = make_material(session, "Filler", unit="g", pack_thousandths=1_500_000, pack_name="1.5 kg", role="filler")
    lines = [Came(clear.id, 8000, packs_quarters=8), Came(filler.id, 4000, packs_quarters=4)]
    take_in_delivery(act, supplier_id=None, lines=lines, freight_minor=1000)
    assert [line.cost_minor for line in session.scalars(select(DeliveryLine))] == [8667, 4333]
    assert clear.value_minor + filler.value_minor == 13000


def test_a_new_price_is_learned_without_the_carriage_and_said(session: Session, act: Act) -> None:
    clear = make_material(session)
    taken = take_in_delivery(act, supplier_id=None, lines=[Came(clear.id, 9000, packs_quarters=8)], freight_minor=700)
    assert clear.pack_price_minor == 4500
    assert [(price.before_minor, price.now_minor) for price in taken.new_prices] == [(4000, 4500)]
    again = take_in_delivery(act, supplier_id=None, lines=[Came(clear.id, 0, packs_quarters=4)])
    assert again.new_prices == ()
    assert clear.pack_price_minor == 4500


def test_an_order_closes_with_the_last_part_of_it(session: Session, act: Act) -> None:
    supplier = make_supplier(session)
    clear = make_material(session, supplier_id=supplier.id)
    [order] = draft_orders(act, [Wanted(clear.id, 3)])
    send_order(act, order.id)
    line_id = get_order(session, order.id).lines[0].line.id
    part = Came(clear.id, 4000, packs_quarters=4, order_line_id=line_id)
    first = take_in_delivery(act, supplier_id=None, order_id=order.id, lines=[part])
    assert not first.is_order_closed
    assert first.delivery.supplier_id == supplier.id
    assert [(one.packs_quarters, one.due_on) for one in list_on_order(session)] == [(8, date(2026, 11, 6))]
    rest = Came(clear.id, 8000, packs_quarters=8, order_line_id=line_id)
    assert take_in_delivery(act, supplier_id=None, order_id=order.id, lines=[rest]).is_order_closed
    assert list_on_order(session) == []
    with pytest.raises(RuleBroken, match="This order is closed"):
        take_in_delivery(act, supplier_id=None, order_id=order.id, lines=[rest])


def test_a_line_of_another_order_is_refused(session: Session, act: Act) -> None:
    clear = make_material(session)
    [order] = draft_orders(act, [Wanted(clear.id, 1)])
    line_id = get_order(session, order.id).lines[0].line.id
    close_order(act, order.id)
    [other] = draft_orders(act, [Wanted(clear.id, 1)])
    wrong = Came(clear.id, 4000, packs_quarters=4, order_line_id=line_id)
    with pytest.raises(RuleBroken, match="another order"):
        take_in_delivery(act, supplier_id=None, order_id=other.id, lines=[wrong])


def test_only_what_spoils_gets_a_lot(session: Session, act: Act) -> None:
    disc = make_material(session, "Disc P320", unit="piece", way="piece", pack_thousandths=100_000, role="disc")
    clear = make_material(session, shelf_life_days=700)
    lines = [
        Came(disc.id, 2000, packs_quarters=4),
        Came(clear.id, 4000, packs_quarters=4, mark="B 17", expires_on=date(2028, 1, 1)),
    ]
    take_in_delivery(act, supplier_id=None, lines=lines)
    lot = session.scalars(select(Lot)).one()
    assert (lot.material_id, lot.mark, lot.expires_on) == (clear.id, "B 17", date(2028, 1, 1))
    assert session.scalars(select(Movement.lot_id).order_by(Movement.id)).all() == [None, lot.id]


@pytest.mark.parametrize(
    ("came", "sentence"),
    [
        ({"packs_quarters": 0, "cost_minor": 1}, "how many packs"),
        ({"packs_quarters": -4, "cost_minor": 1}, "how many packs"),
        ({"packs_quarters": 4, "cost_minor": -1}, "cannot be negative"),
    ],
)
def test_a_line_of_nothing_is_refused(session: Session, act: Act, came: dict[str, int], sentence: str) -> None:
    clear = make_material(session)
    with pytest.raises(RuleBroken, match=sentence):
        take_in_delivery(act, supplier_id=None, lines=[Came(clear.id, **came)])


def test_no_line_and_a_day_to_come_are_refused(session: Session, now: datetime, act: Act) -> None:
    clear = make_material(session)
    with pytest.raises(RuleBroken, match="at least one material"):
        take_in_delivery(act, supplier_id=None, lines=[])
    with pytest.raises(RuleBroken, match="in the future"):
        take_in_delivery(
            act,
            supplier_id=None,
            lines=[Came(clear.id, 1, packs_quarters=4)],
            on=(now + timedelta(days=2)).date(),
        )

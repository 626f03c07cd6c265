"""Orders: drafted by supplier, changed, sent under a number, closed."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.shelf.orders import get_order, list_drafts, list_on_the_way
from shopbook.services.act import Act
from shopbook.services.shelf.orders import (
    Wanted,
    change_order_line,
    choose_supplier,
    close_order,
    draft_orders,
    send_order,
)
from shopbook.trade.errors import RuleBroken
from tests.makers.shelf import make_material, make_supplier


def test_what_is_wanted_goes_to_one_draft_a_supplier(session: Session, act: Act) -> None:
    north, south = make_supplier(session), make_supplier(session, "Southgate Abrasives")
    clear = make_material(session, supplier_id=north.id)
    disc = make_material(session, "Disc P320", supplier_id=south.id, role="disc")
    tape = make_material(session, "Tape", supplier_id=north.id, role="tape")
    draft_orders(act, [Wanted(clear.id, 2, "short"), Wanted(disc.id, 1)])
    draft_orders(act, [Wanted(tape.id, 1), Wanted(clear.id, 1)])
    found = {draft.supplier.name: draft for draft in list_drafts(session) if draft.supplier}
    assert [(line.material.name, line.line.packs) for line in found[north.name].lines] == [(clear.name, 2), ("Tape", 1)]
    assert len(found[south.name].lines) == 1


def test_numbers_are_given_when_orders_go_out_and_without_a_gap(session: Session, act: Act) -> None:
    supplier = make_supplier(session, lead_days=2)
    clear = make_material(session, supplier_id=supplier.id)
    numbers = []
    for _ in range(3):
        [draft] = draft_orders(act, [Wanted(clear.id, 1)])
        assert draft.number is None
        numbers.append(send_order(act, draft.id).number)
    assert numbers == [1, 2, 3]
    assert {order.order.due_on for order in list_on_the_way(session)} == {date(2026, 11, 9)}


def test_what_would_come_on_a_closed_day_is_due_on_the_next_open_one(session: Session, act: Act) -> None:
    supplier = make_supplier(session, lead_days=3)
    material = make_material(session, supplier_id=supplier.id)
    [draft] = draft_orders(act, [Wanted(material.id, 1)])
    # Thursday and three days is Sunday; the shop is closed until Monday.
    assert send_order(act, draft.id).due_on == date(2026, 11, 9)


def test_a_sent_order_is_not_changed_any_more(session: Session, act: Act) -> None:
    clear = make_material(session)
    [draft] = draft_orders(act, [Wanted(clear.id, 1)])
    line_id = get_order(session, draft.id).lines[0].line.id
    change_order_line(act, line_id, 4)
    assert get_order(session, draft.id).total_minor == 16000
    send_order(act, draft.id)
    with pytest.raises(RuleBroken, match="sent or closed"):
        change_order_line(act, line_id, 5)
    with pytest.raises(RuleBroken, match="sent or closed"):
        send_order(act, draft.id)


def test_an_empty_order_is_not_sent(session: Session, act: Act) -> None:
    clear = make_material(session)
    [draft] = draft_orders(act, [Wanted(clear.id, 1)])
    change_order_line(act, get_order(session, draft.id).lines[0].line.id, 0)
    with pytest.raises(RuleBroken, match="order is empty"):
        send_order(act, draft.id)


def test_a_draft_learns_its_supplier_and_so_do_its_materials(session: Session, act: Act) -> None:
    clear = make_material(session)
    [draft] = draft_orders(act, [Wanted(clear.id, 1)])
    supplier = make_supplier(session)
    choose_supplier(act, draft.id, supplier.id)
    assert clear.supplier_id == supplier.id


def test_a_closed_order_is_on_no_list(session: Session, act: Act) -> None:
    clear = make_material(session)
    [draft] = draft_orders(act, [Wanted(clear.id, 1)])
    close_order(act, draft.id)
    assert list_drafts(session) == []


@pytest.mark.parametrize("packs", [0, -1, 10_001])
def test_packs_out_of_reason_are_refused(session: Session, act: Act, packs: int) -> None:
    with pytest.raises(RuleBroken, match="from 1 to 10,000"):
        draft_orders(act, [Wanted(make_material(session).id, packs)])

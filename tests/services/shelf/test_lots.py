"""Opening stock is a lot of its own, used first; when a lot was opened is said at its first use."""

from datetime import date, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Lot, Movement
from shopbook.queries.shelf.lots import lots_left, next_lots
from shopbook.queries.shelf.movements import prove_material
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.lots import note_opened
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.errors import RuleBroken
from tests.makers.shelf import make_delivery, make_material


def test_opening_stock_is_used_before_a_delivery_that_ends_sooner(session: Session, act: Act) -> None:
    """2,500 ml seen, then 1,000 ml good for 15 days: 600 ml leave the opening stock."""
    activator = make_material(session, opened_life_days=75)
    count_materials(act, [(activator.id, 2_500_000)])
    make_delivery(session, activator, 1, expires_on=act.day + timedelta(days=15), mark="new")
    draw_stock(act, activator, 600_000, Source())
    opening, new = lots_left(session, activator, act.day)
    assert (opening.lot.is_opening_stock, opening.left_thousandths, opening.lot.opened_on) == (True, 1_900_000, act.day)
    assert (new.lot.mark, new.left_thousandths, new.lot.opened_on) == ("new", 1_000_000, None)
    draw_stock(act, activator, 2_000_000, Source())
    assert [(one.lot.mark, one.left_thousandths) for one in lots_left(session, activator, act.day)] == [
        ("new", 900_000)
    ]


def test_opening_stock_past_its_day_comes_last(session: Session, act: Act) -> None:
    activator = make_material(session, opened_life_days=75)
    count_materials(act, [(activator.id, 500_000)])
    make_delivery(session, activator, 1, mark="new")
    note_opened(act, session.scalars(select(Lot.id)).first() or 0, act.day - timedelta(days=80))
    assert [one.lot.mark for one in lots_left(session, activator, act.day)] == ["new", ""]
    assert [one.left.lot.mark for one in next_lots(session, [activator], act.day)] == ["new"]


def test_what_was_used_before_the_first_count_is_in_no_lot(session: Session, act: Act) -> None:
    """300 ml used of a book that held nothing, then 1,000 ml seen: a lot of 1,000 ml worth 40.00."""
    clear = make_material(session, shelf_life_days=365)
    draw_stock(act, clear, 300_000, Source())
    count_materials(act, [(clear.id, 1_000_000)])
    lot = session.scalars(select(Lot)).one()
    moved = session.execute(
        select(Movement.quantity_thousandths, Movement.lot_id).where(Movement.kind == "opened").order_by(Movement.id)
    )
    assert [tuple(row) for row in moved] == [(300_000, None), (1_000_000, lot.id)]
    assert (clear.on_hand_thousandths, clear.value_minor) == (1_000_000, 4000)
    assert prove_material(session, clear).is_sound


def test_what_keeps_for_ever_and_a_later_count_begin_no_lot(session: Session, act: Act) -> None:
    tape, clear = make_material(session, "Masking tape"), make_material(session, shelf_life_days=365)
    make_delivery(session, clear, 1)
    count_materials(act, [(tape.id, 1_000_000), (clear.id, 2_000_000)])
    assert [one.is_opening_stock for one in session.scalars(select(Lot))] == [False]


def test_the_first_use_asks_only_for_what_soon_goes_off(session: Session, act: Act) -> None:
    activator, clear = (
        make_material(session, "Activator", opened_life_days=75),
        make_material(session, opened_life_days=365),
    )
    count_materials(act, [(activator.id, 500_000), (clear.id, 500_000)])
    asked = {one.material.name: one.asks_opened_on for one in next_lots(session, [activator, clear], act.day)}
    assert asked == {"Activator": True, "Clear, medium solids": False}
    draw_stock(act, activator, 1000, Source())
    assert [one.asks_opened_on for one in next_lots(session, [activator], act.day)] == [False]


def test_opened_on_is_kept_once_and_refuses_impossible_days(session: Session, act: Act) -> None:
    activator = make_material(session, opened_life_days=75)
    make_delivery(session, activator, 1)
    lot = session.scalars(select(Lot)).one()
    with pytest.raises(RuleBroken, match="in the future") as refused:
        note_opened(act, lot.id, act.day + timedelta(days=1))
    assert refused.value.field == f"opened_{lot.id}"
    with pytest.raises(RuleBroken, match="not delivered yet"):
        note_opened(act, lot.id, lot.received_on - timedelta(days=1))
    note_opened(act, lot.id, act.day)
    note_opened(act, lot.id, date(2020, 1, 1))
    assert lot.opened_on == act.day

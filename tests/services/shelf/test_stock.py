"""Stock leaves the shelf and comes back, as the floor and the desk move it."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.shelf import DeliveryLine, DeliveryPrice, Lot, Movement
from shopbook.queries.shelf.movements import prove_material
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import (
    correct_price,
    draw_stock,
    open_pack,
    return_from_stage,
    return_to_supplier,
    waste_stock,
)
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import STARTED

FOR_NOTHING = Source(reason="a trial panel")


def test_a_stage_pays_the_average_of_two_deliveries(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1, 4000)
    make_delivery(session, clear, 1, 5000)
    lines = draw_stock(act, clear, 500_000, FOR_NOTHING)
    # 2 L for 90.00: half a litre is 22.50.
    assert [(line.quantity_thousandths, line.value_minor) for line in lines] == [(-500_000, -2250)]
    assert (clear.on_hand_thousandths, clear.value_minor) == (1_500_000, 6750)


def test_drawing_more_than_the_shelf_holds_is_flagged(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    lines = draw_stock(act, clear, 1_200_000, FOR_NOTHING)
    assert [(line.quantity_thousandths, line.value_minor, line.is_flagged) for line in lines] == [
        (-1_000_000, -4000, False),
        (-200_000, -800, True),
    ]
    assert clear.needs_count
    assert (clear.on_hand_thousandths, clear.value_minor) == (-200_000, -800)


def test_nothing_drawn_and_shop_floor_leave_no_line(session: Session, act: Act) -> None:
    clear = make_material(session)
    tape = make_material(session, "Masking tape", way="shop_supplies", unit="piece", pack_name="box", role="tape")
    assert draw_stock(act, clear, 0, FOR_NOTHING) == []
    assert draw_stock(act, tape, 1000, FOR_NOTHING) == []
    with pytest.raises(RuleBroken, match="greater than zero"):
        draw_stock(act, clear, -1000, FOR_NOTHING)


def test_what_is_due_first_is_taken_first_and_opened(session: Session, act: Act) -> None:
    clear = make_material(session, shelf_life_days=365)
    make_delivery(session, clear, 1, expires_on=date(2027, 6, 1), mark="late")
    make_delivery(session, clear, 1, expires_on=date(2027, 1, 12), mark="soon")
    make_delivery(session, clear, 1, expires_on=date(2026, 10, 1), mark="past")
    draw_stock(act, clear, 1_100_000, FOR_NOTHING)
    lots = {lot.mark: lot for lot in session.scalars(select(Lot))}
    today = date(2026, 11, 5)
    assert (lots["soon"].opened_on, lots["soon"].gone_on) == (today, today)
    assert (lots["late"].opened_on, lots["late"].gone_on) == (today, None)
    assert lots["past"].opened_on is None


def test_an_opened_can_is_used_up_before_a_closed_one(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    clear = make_material(session, opened_life_days=90)
    make_delivery(session, clear, 1, mark="first")
    make_delivery(session, clear, 1, mark="second")
    draw_stock(act, clear, 400_000, FOR_NOTHING)
    lines = draw_stock(Act(session, owner, now + timedelta(days=1)), clear, 400_000, FOR_NOTHING)
    assert session.get(Lot, lines[0].lot_id).mark == "first"  # type: ignore[union-attr]


def test_what_a_stage_gives_back_comes_at_what_it_paid_to_the_last_cent(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1, 1000)
    draw_stock(act, clear, 300_000, FOR_NOTHING)
    make_delivery(session, clear, 1, 9000)
    back = [return_from_stage(act, clear, 100_000, FOR_NOTHING)[0].value_minor for _ in range(3)]
    assert sum(back) == 300
    with pytest.raises(RuleBroken, match="More would come back"):
        return_from_stage(act, clear, 1000, FOR_NOTHING)


def test_a_return_names_the_line_that_it_takes_back(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    taken = draw_stock(act, clear, 300_000, FOR_NOTHING)
    assert return_from_stage(act, clear, 300_000, FOR_NOTHING)[0].returns_id == taken[0].id


def test_waste_wants_a_cause(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    with pytest.raises(RuleBroken, match="Enter a reason"):
        waste_stock(act, clear, 1000, cause=" ")
    lines = waste_stock(act, clear, 250_000, cause="hardened in the cup")
    assert (lines[0].kind, lines[0].value_minor, lines[0].reason) == ("wasted", -1000, "hardened in the cup")


def test_a_box_of_shop_supplies_is_used_when_opened(session: Session, act: Act) -> None:
    tape = make_material(
        session,
        "Masking tape",
        way="shop_supplies",
        unit="piece",
        pack_thousandths=24_000,
        pack_name="box",
        role="tape",
    )
    make_delivery(session, tape, 2, 5000)
    lines = open_pack(act, tape)
    assert [(line.quantity_thousandths, line.value_minor, line.job_id) for line in lines] == [(-24_000, -2500, None)]
    with pytest.raises(RuleBroken, match="counted on each job"):
        open_pack(act, make_material(session))


def test_goods_sent_back_leave_at_average_and_the_rest_is_variance(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 2)
    lines = return_to_supplier(act, clear, 1_000_000, 3500, reason="wrong hardener")
    assert [(line.kind, line.value_minor) for line in lines] == [("returned_to_supplier", -3500), ("variance", -500)]
    assert clear.value_minor == 4000


def test_a_price_put_right_stays_with_what_is_left(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 2, 8000)
    draw_stock(act, clear, 1_000_000, FOR_NOTHING)
    line_id = session.scalars(select(DeliveryLine.id)).one()
    lines = correct_price(act, line_id, 9000)
    assert [(line.kind, line.value_minor) for line in lines] == [("price_corrected", 1000), ("variance", -500)]
    assert clear.value_minor == 4500
    assert correct_price(act, line_id, 9000) == []
    line = session.get_one(DeliveryLine, line_id)
    assert (line.cost_minor, line.cost_now_minor) == (8000, 9000)
    # The next correction is reckoned from the newest price, and each that changed something is a line.
    first, *_ = correct_price(act, line_id, 8500)
    assert (first.kind, first.value_minor) == ("price_corrected", -500)
    prices = session.scalars(select(DeliveryPrice.cost_minor).order_by(DeliveryPrice.id)).all()
    assert (line.cost_now_minor, list(prices)) == (8500, [9000, 8500])
    assert prove_material(session, clear).is_sound


def test_a_movement_dated_into_a_closed_month_is_refused(session: Session, now: datetime, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=now))
    session.flush()
    with pytest.raises(RuleBroken, match="closed up to"):
        draw_stock(act, clear, 1000, FOR_NOTHING, on=date(2026, 10, 30))
    assert len(session.scalars(select(Movement)).all()) == 1


def test_stock_that_came_before_is_what_the_maker_says(session: Session) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 3, now=STARTED)
    assert clear.on_hand_thousandths == 3_000_000
    assert clear.is_counted

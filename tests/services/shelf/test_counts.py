"""Counting by looking: what was seen against what the book said."""

from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shelf import CountLine, Movement
from shopbook.queries.shelf.lots import lots_left
from shopbook.queries.shelf.movements import prove_material
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.stock import draw_stock
from shopbook.trade.errors import RuleBroken
from tests.makers.shelf import make_delivery, make_material


def kinds(session: Session) -> list[tuple[str, int, int]]:
    lines = session.scalars(select(Movement).order_by(Movement.id))
    return [(line.kind, line.quantity_thousandths, line.value_minor) for line in lines]


def test_the_first_count_is_what_was_there_when_the_book_began(session: Session, act: Act) -> None:
    clear = make_material(session)
    count_materials(act, [(clear.id, 2_500_000)])
    assert kinds(session) == [("opened", 2_500_000, 10_000)]
    assert clear.is_counted


def test_a_stage_that_drew_before_the_first_count_is_trued_up(session: Session, act: Act) -> None:
    clear = make_material(session, pack_price_minor=None)
    draw_stock(act, clear, 500_000, Source())
    assert clear.needs_count
    clear.pack_price_minor = 4000
    count_materials(act, [(clear.id, 1_000_000)])
    assert (clear.on_hand_thousandths, clear.value_minor, clear.needs_count) == (1_000_000, 4000, False)
    assert ("true_up", 0, -2000) in kinds(session)
    assert prove_material(session, clear).is_sound


def test_later_differences_go_up_and_down_at_average(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 2)
    count_materials(act, [(clear.id, 1_750_000)])
    count_materials(act, [(clear.id, 2_250_000)])
    assert kinds(session)[1:] == [("counted_down", -250_000, -1000), ("counted_up", 500_000, 2000)]


def test_a_count_that_agrees_is_kept_without_a_movement(session: Session, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 2)
    count_materials(act, [(clear.id, 2_000_000)])
    line = session.scalars(select(CountLine)).one()
    assert (line.seen_thousandths, line.book_thousandths, line.movement_id) == (2_000_000, 2_000_000, None)


def test_an_empty_shelf_ends_its_lots(session: Session, now: datetime, act: Act) -> None:
    clear = make_material(session, shelf_life_days=300)
    make_delivery(session, clear, 2)
    count_materials(act, [(clear.id, 0)])
    assert lots_left(session, clear, now.date()) == []
    assert (clear.on_hand_thousandths, clear.value_minor) == (0, 0)


def test_nothing_twice_and_a_negative_count_are_refused(session: Session, act: Act) -> None:
    clear = make_material(session)
    for seen, sentence in (
        ([], "Nothing was counted"),
        ([(clear.id, 1), (clear.id, 2)], "counted twice"),
        ([(clear.id, -1)], "cannot be negative"),
    ):
        with pytest.raises(RuleBroken, match=sentence):
            count_materials(act, seen)

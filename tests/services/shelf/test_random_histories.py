"""Random histories of one material through the services: no unit and no cent is lost, on either database.

100 histories on SQLite, 20 on PostgreSQL. What each closes with is stated in trade/stock/average_cost.py.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import DeliveryLine, Material, Movement
from shopbook.queries.shelf.lots import lots_left
from shopbook.queries.shelf.movements import get_drawn, prove_material, read_shelf, stock_value
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.stock import (
    correct_price,
    draw_stock,
    return_from_stage,
    return_to_supplier,
    waste_stock,
)
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import make_book

BEGAN = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
STEPS = 30


def deliver(session: Session, dice: Random, now: datetime, material: Material) -> None:
    expires = now.date() + timedelta(days=dice.randint(-5, 200)) if dice.random() < 0.5 else None
    make_delivery(
        session, material, dice.randint(1, 3), dice.choice([0, dice.randint(1, 9999)]), now=now, expires_on=expires
    )


def draw(session: Session, dice: Random, now: datetime, material: Material) -> None:
    draw_stock(Act(session, THE_PROGRAM, now), material, dice.randint(1, 2_500_000), Source())


def put_back(session: Session, dice: Random, now: datetime, material: Material) -> None:
    drawn = get_drawn(session, material.id, job_id=None, stage_id=None)
    if drawn.quantity_thousandths > 0:
        amount = dice.choice([drawn.quantity_thousandths, dice.randint(1, drawn.quantity_thousandths)])
        return_from_stage(Act(session, THE_PROGRAM, now), material, amount, Source())


def count(session: Session, dice: Random, now: datetime, material: Material) -> None:
    seen = dice.choice([0, max(material.on_hand_thousandths, 0), dice.randint(0, 4_000_000)])
    count_materials(Act(session, THE_PROGRAM, now), [(material.id, seen)])


def lose(session: Session, dice: Random, now: datetime, material: Material) -> None:
    waste_stock(Act(session, THE_PROGRAM, now), material, dice.randint(1, 700_000), cause="spilt")


def put_price_right(session: Session, dice: Random, now: datetime, material: Material) -> None:
    line_id = session.scalar(select(func.max(DeliveryLine.id)).where(DeliveryLine.material_id == material.id))
    if line_id:
        correct_price(Act(session, THE_PROGRAM, now), line_id, dice.randint(0, 15_000))


def send_back(session: Session, dice: Random, now: datetime, material: Material) -> None:
    amount, credit = dice.randint(1, 900_000), dice.randint(0, 5000)
    return_to_supplier(Act(session, THE_PROGRAM, now), material, amount, credit, reason="wrong")


ACTS: tuple[Callable[[Session, Random, datetime, Material], None], ...] = (
    deliver,
    deliver,
    draw,
    draw,
    draw,
    put_back,
    count,
    lose,
    put_price_right,
    send_back,
)


def check(session: Session, material: Material, day: date) -> None:
    moved = session.scalar(
        select(func.coalesce(func.sum(Movement.quantity_thousandths), 0)).where(Movement.material_id == material.id)
    )
    assert material.on_hand_thousandths == moved
    assert prove_material(session, material).is_sound
    if material.on_hand_thousandths <= 0:
        assert material.value_minor <= 0
    if material.on_hand_thousandths == 0:
        assert material.value_minor == 0
    assert all(one.left_thousandths >= 0 for one in lots_left(session, material, day))


def live_through(session: Session, seed: int) -> None:
    dice = Random(seed)
    price = dice.choice([None, 3999])
    spoils = dice.choice([None, 300])
    material = make_material(session, f"Material {seed}", pack_price_minor=price, opened_life_days=spoils)
    for step in range(STEPS):
        now = BEGAN + timedelta(days=step)
        dice.choice(ACTS)(session, dice, now, material)
        check(session, material, now.date())


def check_months(session: Session) -> None:
    """The months of all histories together: each closes, and each begins where the one before ended."""
    march = read_shelf(session, date(2026, 3, 1), date(2026, 3, 31)).sums(date(2026, 3, 1), date(2026, 3, 31))
    april = read_shelf(session, date(2026, 4, 1), date(2026, 4, 30)).sums(date(2026, 4, 1), date(2026, 4, 30))
    assert (march.gap_minor, april.gap_minor) == (0, 0)
    assert (march.opening_minor, april.opening_minor) == (0, march.closing_minor)
    assert april.closing_minor == stock_value(session)


def test_a_hundred_histories_close_to_the_last_cent(session: Session) -> None:
    for seed in range(100):
        live_through(session, seed)
    check_months(session)


@pytest.mark.postgresql
def test_twenty_histories_close_on_postgresql_too(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        for seed in range(100, 120):
            live_through(session, seed)
        check_months(session)
    engine.dispose()

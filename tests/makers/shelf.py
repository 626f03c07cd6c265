"""Makers of the shelf: suppliers, materials, and stock that came with a delivery."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, Supplier
from shopbook.services.act import Act
from shopbook.services.shelf.deliveries import Came, TakenIn, take_in_delivery
from shopbook.services.shelf.materials import add_material, add_supplier
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.shop import STARTED


def make_supplier(session: Session, name: str = "Northside Paint Supply", **given: Any) -> Supplier:
    """A supplier who delivers on the next day."""
    return add_supplier(
        Act(session, THE_PROGRAM, STARTED), name=name, **({"phone": "555-0190", "lead_days": 1} | given)
    )


def make_material(session: Session, name: str = "Clear, medium solids", **given: Any) -> Material:
    """A measured litre can at 40.00 that stands for clear; nothing of it there, nobody has counted it."""
    defaults: dict[str, Any] = {
        "unit": "ml",
        "way": "measured",
        "pack_thousandths": 1_000_000,
        "pack_name": "1 L",
        "pack_price_minor": 4000,
        "order_at_quarters": 4,
        "role": "clear",
    }
    return add_material(Act(session, THE_PROGRAM, STARTED), name=name, **(defaults | given))


def make_delivery(
    session: Session,
    material: Material,
    packs: int = 1,
    cost_minor: int | None = None,
    *,
    now: datetime = STARTED,
    expires_on: date | None = None,
    mark: str = "",
) -> TakenIn:
    """Whole packs of one material, at the pack's price unless told."""
    cost = packs * (material.pack_price_minor or 0) if cost_minor is None else cost_minor
    came = Came(material.id, cost, packs_quarters=4 * packs, expires_on=expires_on, mark=mark)
    return take_in_delivery(Act(session, THE_PROGRAM, now), supplier_id=None, lines=[came])

"""Deliveries and their lines: one, those of a material, the newest."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Delivery, DeliveryLine, Lot, Material, Supplier
from shopbook.trade.errors import NotFound


@dataclass(frozen=True, slots=True)
class DeliveredLine:
    """One line of a delivery with its material, its lot if it has one, and when and from whom it came."""

    line: DeliveryLine
    delivery: Delivery
    material: Material
    lot: Lot | None
    supplier_name: str


def get_delivery(session: Session, delivery_id: int) -> Delivery:
    """One delivery; NotFound when there is none."""
    delivery = session.get(Delivery, delivery_id)
    if delivery is None:
        raise NotFound("There is no such delivery in the book.")
    return delivery


def get_delivery_line(session: Session, line_id: int) -> DeliveryLine:
    """One line of a delivery; NotFound when there is none."""
    line = session.get(DeliveryLine, line_id)
    if line is None:
        raise NotFound("There is no such line of a delivery in the book.")
    return line


def list_delivered(
    session: Session,
    *,
    material_id: int | None = None,
    delivery_id: int | None = None,
    order_id: int | None = None,
    limit: int = 50,
) -> list[DeliveredLine]:
    """Lines of deliveries, newest first, of one material, one delivery or one order."""
    asked = (
        select(DeliveryLine, Delivery, Material, Lot, Supplier.name)
        .join(Delivery, Delivery.id == DeliveryLine.delivery_id)
        .join(Material, Material.id == DeliveryLine.material_id)
        .outerjoin(Lot, Lot.delivery_line_id == DeliveryLine.id)
        .outerjoin(Supplier, Supplier.id == Delivery.supplier_id)
        .order_by(DeliveryLine.id.desc())
        .limit(limit)
    )
    for column, wanted in (
        (DeliveryLine.material_id, material_id),
        (DeliveryLine.delivery_id, delivery_id),
        (Delivery.order_id, order_id),
    ):
        if wanted is not None:
            asked = asked.where(column == wanted)
    rows = session.execute(asked).all()
    return [DeliveredLine(line, delivery, material, lot, name or "") for line, delivery, material, lot, name in rows]

"""What came from a supplier, and the lots of what has a shelf life."""

from typing import Any

from sqlalchemy import CheckConstraint, ColumnElement, func, select
from sqlalchemy.orm import Mapped, column_property, mapped_column

from shopbook.models.base import Base, Day, Key, Line, Minor, Moment, Thousandths, Whole, refers


class Delivery(Base):
    """One delivery, whole or part of an order. Append-only."""

    __tablename__ = "delivery"

    id: Mapped[Key]
    supplier_id: Mapped[int | None] = refers("supplier.id")
    order_id: Mapped[int | None] = refers("supply_order.id")
    note_number: Mapped[Line]
    freight_minor: Mapped[Minor]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class DeliveryPrice(Base):
    """What a line of a delivery turned out to cost in all; its newest line counts. Append-only."""

    __tablename__ = "delivery_price"
    __table_args__ = (CheckConstraint("cost_minor >= 0", name="cost_not_negative"),)

    id: Mapped[Key]
    delivery_line_id: Mapped[int] = refers("delivery_line.id")
    cost_minor: Mapped[Minor]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


def cost_now_of(line_id: Any, cost_minor: Any) -> ColumnElement[int]:
    """What a line of a delivery costs by the newest word on it; both are columns of that line."""
    newest = select(DeliveryPrice.cost_minor).where(DeliveryPrice.delivery_line_id == line_id)
    return func.coalesce(newest.order_by(DeliveryPrice.id.desc()).limit(1).scalar_subquery(), cost_minor)


class DeliveryLine(Base):
    """One material of a delivery, at what it cost without recoverable tax, freight included. Append-only."""

    __tablename__ = "delivery_line"
    __table_args__ = (
        CheckConstraint("quantity_thousandths > 0", name="quantity_positive"),
        CheckConstraint("cost_minor >= 0", name="cost_not_negative"),
    )

    id: Mapped[Key] = mapped_column()
    delivery_id: Mapped[int] = refers("delivery.id")
    material_id: Mapped[int] = refers("material.id")
    order_line_id: Mapped[int | None] = refers("order_line.id")
    packs_quarters: Mapped[Whole]
    quantity_thousandths: Mapped[Thousandths]
    cost_minor: Mapped[Minor] = mapped_column()
    """As it was taken in; `cost_now_minor` is what it turned out to cost."""
    cost_now_minor: Mapped[int] = column_property(cost_now_of(id, cost_minor))


class Lot(Base):
    """One delivery of what has a shelf life, with its own use-by date; opened by its first use.

    One without a delivery is the opening stock: what the first count found.
    """

    __tablename__ = "lot"

    id: Mapped[Key]
    material_id: Mapped[int] = refers("material.id")
    delivery_line_id: Mapped[int | None] = refers("delivery_line.id")
    mark: Mapped[Line]
    """The lot mark on the can."""
    received_on: Mapped[Day]
    expires_on: Mapped[Day | None]
    opened_on: Mapped[Day | None]
    gone_on: Mapped[Day | None]
    began_thousandths: Mapped[Thousandths] = mapped_column(default=0)
    """What it held before the first movement that names it: opening stock of a book from before that was a lot."""

    @property
    def is_opening_stock(self) -> bool:
        """Whether it was there when the book began: older than all that was delivered."""
        return self.delivery_line_id is None

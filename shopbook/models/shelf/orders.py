"""What was asked of suppliers; deliveries against it may come in parts."""

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, Key, Line, Minor, Moment, Thousandths, Whole, refers


class SupplyOrder(Base):
    """One order at one supplier; open until all of it came or the rest was cancelled."""

    __tablename__ = "supply_order"

    id: Mapped[Key]
    number: Mapped[Whole | None] = mapped_column(unique=True)
    """Given when it is sent; a draft has none."""
    supplier_id: Mapped[int | None] = refers("supplier.id")
    drafted_at: Mapped[Moment]
    sent_at: Mapped[Moment | None]
    sent_on: Mapped[Day | None]
    due_on: Mapped[Day | None]
    closed_at: Mapped[Moment | None]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class OrderLine(Base):
    """One material of an order, in packs."""

    __tablename__ = "order_line"
    __table_args__ = (CheckConstraint("packs > 0", name="packs_positive"),)

    id: Mapped[Key]
    order_id: Mapped[int] = refers("supply_order.id")
    material_id: Mapped[int] = refers("material.id")
    packs: Mapped[Whole]
    quantity_thousandths: Mapped[Thousandths]
    pack_price_minor: Mapped[Minor | None]
    why: Mapped[Line]

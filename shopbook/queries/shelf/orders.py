"""Orders at suppliers: drafts, what is on its way, what of each line has come."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import DeliveryLine, Material, OrderLine, Supplier, SupplyOrder
from shopbook.trade.errors import NotFound


@dataclass(frozen=True, slots=True)
class OrderedLine:
    """One line of an order with its material and what of it has come."""

    line: OrderLine
    material: Material
    came_thousandths: int

    @property
    def open_thousandths(self) -> int:
        """What is still to come; never under zero."""
        return max(self.line.quantity_thousandths - self.came_thousandths, 0)

    @property
    def open_quarters(self) -> int:
        """The same in quarters of the packs that were ordered, rounded up."""
        return -(-self.open_thousandths * 4 * self.line.packs // self.line.quantity_thousandths)

    @property
    def price_minor(self) -> int | None:
        """The line at the last price of a pack; None where no price is known."""
        price = self.line.pack_price_minor
        return None if price is None else price * self.line.packs


@dataclass(frozen=True, slots=True)
class Order:
    """One order with its lines and its supplier; `supplier` is None while none is chosen."""

    order: SupplyOrder
    supplier: Supplier | None
    lines: tuple[OrderedLine, ...]

    @property
    def is_draft(self) -> bool:
        """Not sent and not closed."""
        return self.order.sent_at is None and self.order.closed_at is None

    def is_late(self, day: date) -> bool:
        """Whether something of it should have come before that day."""
        return is_late(self.order.due_on, day) and self.order.closed_at is None

    @property
    def total_minor(self) -> int:
        """The sum of the lines whose price is known."""
        return sum(one.price_minor or 0 for one in self.lines)

    @property
    def unpriced(self) -> int:
        """How many lines have no price."""
        return sum(one.price_minor is None for one in self.lines)


@dataclass(frozen=True, slots=True)
class OnOrder:
    """What of one material is still to come with one sent order."""

    material_id: int
    order_id: int
    number: int | None
    packs_quarters: int
    quantity_thousandths: int
    due_on: date | None

    def is_late(self, day: date) -> bool:
        """Whether it should have come before that day."""
        return is_late(self.due_on, day)


def is_late(due_on: date | None, day: date) -> bool:
    """Whether what was due on a day is late on another; what has no day is never late."""
    return due_on is not None and due_on < day


def get_order_row(session: Session, order_id: int) -> SupplyOrder:
    """One order without its lines; NotFound when there is none."""
    order = session.get(SupplyOrder, order_id)
    if order is None:
        raise NotFound("There is no such order in the book.")
    return order


def get_order(session: Session, order_id: int) -> Order:
    """One order with its lines; NotFound when there is none."""
    get_order_row(session, order_id)
    return _with_lines(session, select(SupplyOrder).where(SupplyOrder.id == order_id))[0]


def get_order_line(session: Session, line_id: int) -> OrderLine:
    """One line of an order; NotFound when there is none."""
    line = session.get(OrderLine, line_id)
    if line is None:
        raise NotFound("There is no such line of an order in the book.")
    return line


def list_open_orders(session: Session) -> list[Order]:
    """Drafts and orders on the way, oldest first; two statements."""
    return _with_lines(session, select(SupplyOrder).where(SupplyOrder.closed_at.is_(None)).order_by(SupplyOrder.id))


def list_drafts(session: Session) -> list[Order]:
    """Orders not sent yet, oldest first."""
    return [one for one in list_open_orders(session) if one.is_draft]


def list_on_the_way(session: Session) -> list[Order]:
    """Orders sent and not closed, oldest first."""
    return [one for one in list_open_orders(session) if not one.is_draft]


def late_among(orders: Iterable[Order], day: date) -> list[Order]:
    """The same of orders that are read already, drafts among them."""
    late = [one for one in orders if not one.is_draft and one.is_late(day)]
    return sorted(late, key=lambda one: (one.order.due_on or date.max, one.order.id))


def list_closed_orders(session: Session, *, before: int | None = None, limit: int = 20) -> list[Order]:
    """Closed orders, newest first; with `before` those older than that one."""
    asked = select(SupplyOrder).where(SupplyOrder.closed_at.is_not(None)).order_by(SupplyOrder.id.desc()).limit(limit)
    return _with_lines(session, asked if before is None else asked.where(SupplyOrder.id < before))


def find_draft(session: Session, supplier_id: int | None) -> SupplyOrder | None:
    """The draft for a supplier (or for none), or None."""
    return session.scalar(
        select(SupplyOrder).where(
            SupplyOrder.supplier_id == supplier_id, SupplyOrder.sent_at.is_(None), SupplyOrder.closed_at.is_(None)
        )
    )


def on_order_among(orders: Iterable[Order]) -> list[OnOrder]:
    """The same of orders that are read already; a draft brings nothing."""
    coming = [
        OnOrder(
            material_id=line.material.id,
            order_id=one.order.id,
            number=one.order.number,
            packs_quarters=line.open_quarters,
            quantity_thousandths=line.open_thousandths,
            due_on=one.order.due_on,
        )
        for one in orders
        if not one.is_draft
        for line in one.lines
        if line.open_thousandths
    ]
    return sorted(coming, key=lambda one: (one.due_on or date.max, one.order_id))


def _with_lines(session: Session, asked: Select[SupplyOrder]) -> list[Order]:
    """Orders with suppliers, and their lines with what came of them, in two statements whatever their number."""
    rows = session.execute(
        asked.add_columns(Supplier).outerjoin(Supplier, Supplier.id == SupplyOrder.supplier_id)
    ).all()
    lines = _lines(session, [order.id for order, _ in rows])
    return [Order(order, supplier, tuple(lines.get(order.id, ()))) for order, supplier in rows]


def _lines(session: Session, order_ids: list[int]) -> dict[int, list[OrderedLine]]:
    if not order_ids:
        return {}
    came = (
        select(func.sum(DeliveryLine.quantity_thousandths))
        .where(DeliveryLine.order_line_id == OrderLine.id)
        .scalar_subquery()
    )
    found: dict[int, list[OrderedLine]] = {}
    for line, material, quantity in session.execute(
        select(OrderLine, Material, came)
        .join(Material, Material.id == OrderLine.material_id)
        .where(OrderLine.order_id.in_(order_ids))
        .order_by(OrderLine.id)
    ):
        found.setdefault(line.order_id, []).append(OrderedLine(line, material, int(quantity or 0)))
    return found

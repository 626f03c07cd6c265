"""A delivery is taken in, whole or in part: stock goes up at what it cost, lots begin, a complete order closes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.shelf import Delivery, DeliveryLine, Material, SupplyOrder
from shopbook.queries.shelf.materials import get_material, get_supplier
from shopbook.queries.shelf.orders import Order, get_order, get_order_row
from shopbook.services.act import Act
from shopbook.services.postings import Source, post_stock, stock_of, write_log
from shopbook.services.shelf.lots import begin_lot
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out
from shopbook.trade.stock import average_cost


@dataclass(frozen=True, slots=True)
class Came:
    """One material of a delivery: quarters of its pack, what the line cost without recoverable tax and delivery charge.

    `quantity_thousandths` stands instead of the quarters where something else than whole quarters came. `mark` and
    `expires_on` make a lot, for what has a shelf life.
    """

    material_id: int
    cost_minor: int
    packs_quarters: int = 0
    quantity_thousandths: int | None = None
    mark: str = ""
    expires_on: date | None = None
    order_line_id: int | None = None


@dataclass(frozen=True, slots=True)
class NewPrice:
    """A pack that cost something else than before; minor units, `before_minor` None where no price was known."""

    material_name: str
    pack_name: str
    before_minor: int | None
    now_minor: int


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What taking in a delivery did: the delivery, prices that changed, and whether it closed its order."""

    delivery: Delivery
    new_prices: tuple[NewPrice, ...]
    is_order_closed: bool


def _supplier_of(session: Session, supplier_id: int | None, order: Order | None) -> int | None:
    """Who it came from: as it was said, else as the order says."""
    if supplier_id is None:
        return order.order.supplier_id if order is not None else None
    return get_supplier(session, supplier_id).id


def take_in_delivery(
    act: Act,
    *,
    supplier_id: int | None,
    lines: Sequence[Came],
    order_id: int | None = None,
    note_number: str = "",
    freight_minor: int = 0,
    on: date | None = None,
) -> TakenIn:
    """Take in what came; the delivery charge is shared over the lines by value and becomes part of their cost.

    RuleBroken for no line, a line of nothing, a negative cost or charge, a day to come, a line of another order.
    """
    today = act.day
    _check(lines, freight_minor, on or today, today)
    order = get_order(act.session, order_id) if order_id is not None else None
    _check_order(order, supplier_id, lines)
    delivery = Delivery(
        supplier_id=_supplier_of(act.session, supplier_id, order),
        order_id=order_id,
        note_number=note_number.strip(),
        freight_minor=freight_minor,
        at=act.moment,
        on=on or today,
        person_id=act.actor.person_id,
    )
    act.session.add(delivery)
    act.session.flush()
    freight = share_out(freight_minor, [came.cost_minor for came in lines])
    prices = [_take_in(act, delivery, came, share) for came, share in zip(lines, freight, strict=True)]
    is_closed = order is not None and _close_when_complete(act.session, order.order, act.moment)
    words = f"Saved a delivery of {len(lines)} line{'s' if len(lines) != 1 else ''}"
    write_log(act, "take_in_delivery", "delivery", delivery.id, words)
    return TakenIn(delivery, tuple(price for price in prices if price is not None), is_closed)


def _check(lines: Sequence[Came], freight_minor: int, on: date, today: date) -> None:
    if not lines:
        raise RuleBroken("Enter at least one material and how many packs came.", "lines")
    if freight_minor < 0:
        raise RuleBroken("The delivery charge cannot be negative. Enter 0 or more.", "freight")
    if on > today:
        raise RuleBroken("That day is in the future. Enter today or an earlier day.", "on")


def _check_order(order: Order | None, supplier_id: int | None, lines: Sequence[Came]) -> None:
    known = {line.line.id: line.material.id for line in order.lines} if order else {}
    for came in lines:
        if came.order_line_id is not None and known.get(came.order_line_id) != came.material_id:
            raise RuleBroken("One of these lines belongs to another order. Load the page again.", "lines")
    if order is None:
        return
    if order.order.closed_at is not None:
        raise RuleBroken("This order is closed. Enter the delivery without an order.", "lines")
    if None not in (supplier_id, order.order.supplier_id) and supplier_id != order.order.supplier_id:
        raise RuleBroken("This order went to another supplier. Choose that one.", "supplier_id")


def _take_in(act: Act, delivery: Delivery, came: Came, freight: int) -> NewPrice | None:
    material = get_material(act.session, came.material_id)
    quantity = _quantity(material, came)
    line = DeliveryLine(
        delivery_id=delivery.id,
        material_id=material.id,
        order_line_id=came.order_line_id,
        packs_quarters=came.packs_quarters,
        quantity_thousandths=quantity,
        cost_minor=came.cost_minor + freight,
    )
    act.session.add(line)
    act.session.flush()
    lot = begin_lot(act, material, on=delivery.on, delivery_line_id=line.id, mark=came.mark, expires_on=came.expires_on)
    source = Source(lot_id=lot.id if lot else None, delivery_line_id=line.id)
    outcome = average_cost.receive(stock_of(material), quantity, came.cost_minor + freight)
    post_stock(act, material, outcome, source, on=delivery.on)
    material.is_counted = True
    material.is_active = True
    if material.supplier_id is None:
        material.supplier_id = delivery.supplier_id
    return _learn_price(material, came.cost_minor, quantity)


def _quantity(material: Material, came: Came) -> int:
    quantity = came.quantity_thousandths
    if quantity is None:
        quantity = divide_half_away(material.pack_thousandths * came.packs_quarters, 4)
    if quantity <= 0 or came.packs_quarters < 0:
        raise RuleBroken(f"{material.name}: enter how many packs came.", "packs")
    if came.cost_minor < 0:
        raise RuleBroken(f"{material.name}: the cost cannot be negative. Enter 0 or more.", "cost")
    return quantity


def _learn_price(material: Material, cost_minor: int, quantity: int) -> NewPrice | None:
    """The supplier's price is what the goods cost without delivery charge; a gift sets none."""
    price = divide_half_away(cost_minor * material.pack_thousandths, quantity)
    before = material.pack_price_minor
    if price <= 0 or price == before:
        return None
    material.pack_price_minor = price
    material.is_guess = False
    material.revision += 1
    return NewPrice(material.name, material.pack_name, before, price)


def _close_when_complete(session: Session, order: SupplyOrder, now: datetime) -> bool:
    after = get_order(session, order.id)
    if any(line.open_thousandths for line in after.lines):
        return False
    get_order_row(session, order.id).closed_at = now
    return True

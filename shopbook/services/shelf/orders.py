"""Orders are drafted by supplier, changed, sent under a number, and closed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, OrderLine, SupplyOrder
from shopbook.queries.shelf.materials import get_material, get_supplier
from shopbook.queries.shelf.orders import find_draft, get_order, get_order_line, get_order_row
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, next_number, write_log
from shopbook.trade.errors import RuleBroken

SERIES = "order"
MOST_PACKS = 10_000
MOST_CLOSED_DAYS = 60


@dataclass(frozen=True, slots=True)
class Wanted:
    """So many packs of a material, and the sentence that says why."""

    material_id: int
    packs: int
    why: str = ""


def draft_orders(act: Act, wanted: Sequence[Wanted]) -> list[SupplyOrder]:
    """Put what is wanted onto the draft of each material's supplier; one that is on it already is raised, not doubled.

    RuleBroken for nothing wanted or packs outside 1 to 10,000.
    """
    if not wanted:
        raise RuleBroken("Choose at least one material.")
    drafts: dict[int, SupplyOrder] = {}
    for one in wanted:
        _check_packs(one.packs)
        material = get_material(act.session, one.material_id)
        draft = _draft_for(act, material.supplier_id)
        drafts[draft.id] = draft
        _put_on(act.session, draft, material, one)
    return list(drafts.values())


def _draft_for(act: Act, supplier_id: int | None) -> SupplyOrder:
    draft = find_draft(act.session, supplier_id)
    if draft is None:
        draft = SupplyOrder(
            supplier_id=supplier_id,
            drafted_at=act.moment,
            person_id=act.actor.person_id,
        )
        act.session.add(draft)
        act.session.flush()
        write_log(act, "draft_order", "supply_order", draft.id, "Started an order")
    return draft


def _put_on(session: Session, draft: SupplyOrder, material: Material, wanted: Wanted) -> None:
    for there in get_order(session, draft.id).lines:
        if there.material.id == material.id:
            _set_packs(there.line, material, max(there.line.packs, wanted.packs))
            there.line.why = wanted.why[:200] or there.line.why
            return
    line = OrderLine(
        order_id=draft.id,
        material_id=material.id,
        packs=wanted.packs,
        quantity_thousandths=wanted.packs * material.pack_thousandths,
        pack_price_minor=material.pack_price_minor,
        why=wanted.why[:200],
    )
    session.add(line)
    session.flush()


def change_order_line(act: Act, line_id: int, packs: int) -> SupplyOrder:
    """Set the packs of a draft's line; zero takes the line off. RuleBroken once the order has been sent."""
    line = get_order_line(act.session, line_id)
    order = _get_draft(act.session, line.order_id)
    material = get_material(act.session, line.material_id)
    if packs == 0:
        act.session.delete(line)
    else:
        _check_packs(packs)
        _set_packs(line, material, packs)
        if not is_changed(act, line):
            return order
    act.session.flush()
    words = f"Set {material.name} to {packs} on an order" if packs else f"Removed {material.name} from an order"
    write_log(act, "change_order_line", "supply_order", order.id, words)
    return order


def choose_supplier(act: Act, order_id: int, supplier_id: int) -> SupplyOrder:
    """Say where a draft is to be bought; its materials without a supplier learn it."""
    order = _get_draft(act.session, order_id)
    order.supplier_id = get_supplier(act.session, supplier_id).id
    for line in get_order(act.session, order_id).lines:
        if line.material.supplier_id is None:
            line.material.supplier_id = supplier_id
    act.session.flush()
    write_log(act, "choose_supplier", "supply_order", order.id, "Chose an order's supplier")
    return order


def send_order(act: Act, order_id: int, *, due_on: date | None = None) -> SupplyOrder:
    """The order is sent: it gets its number and the day on which it is due, else by the supplier's usual days.

    RuleBroken for an empty order, one already sent, or a day gone by.
    """
    order = _get_draft(act.session, order_id)
    shown = get_order(act.session, order_id)
    today = act.day
    if not shown.lines:
        raise RuleBroken("This order is empty. Add a material first.")
    if due_on is not None and due_on < today:
        raise RuleBroken("That day is past. Enter today or a later day.", "due_on")
    order.number = next_number(act.session, SERIES)
    order.sent_at, order.sent_on = act.moment, today
    order.due_on = due_on or (_usual_day(act.session, today, shown.supplier.lead_days) if shown.supplier else None)
    act.session.flush()
    write_log(act, "send_order", "supply_order", order.id, f"Sent order {order.number}")
    return order


def _usual_day(session: Session, today: date, lead_days: int) -> date:
    """The supplier's usual days from today; when the shop is closed then, the next day on which it can take it in."""
    opening, usual = opening_hours_on(session, today), today + timedelta(days=lead_days)
    later = (usual + timedelta(days=more) for more in range(MOST_CLOSED_DAYS))
    return next((day for day in later if opening.is_working_day(day)), usual)


def close_order(act: Act, order_id: int) -> SupplyOrder:
    """Cancel what has not come of an order; a second press does nothing."""
    order = get_order_row(act.session, order_id)
    if order.closed_at is None:
        order.closed_at = act.moment
        name = f"order {order.number}" if order.number else "a draft"
        write_log(act, "close_order", "supply_order", order.id, f"Closed {name}")
    return order


def _get_draft(session: Session, order_id: int) -> SupplyOrder:
    order = get_order_row(session, order_id)
    if order.sent_at is not None or order.closed_at is not None:
        raise RuleBroken("This order is sent or closed. Start another for what is missing.")
    return order


def _set_packs(line: OrderLine, material: Material, packs: int) -> None:
    line.packs = packs
    line.quantity_thousandths = packs * material.pack_thousandths
    line.pack_price_minor = material.pack_price_minor


def _check_packs(packs: int) -> None:
    if not 1 <= packs <= MOST_PACKS:
        raise RuleBroken(f"Enter a number of packs from 1 to {MOST_PACKS:,}.", "packs")

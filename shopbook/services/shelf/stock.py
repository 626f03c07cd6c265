"""Stock leaves the shelf and comes back: to stages, to waste, to shop supplies, to a supplier; prices corrected."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.shelf import DeliveryLine, DeliveryPrice, Lot, Material, Movement
from shopbook.queries.shelf.deliveries import get_delivery_line
from shopbook.queries.shelf.lots import LotLeft, get_lot, lots_left
from shopbook.queries.shelf.materials import get_material
from shopbook.queries.shelf.movements import find_last_issue, get_drawn
from shopbook.services.act import Act
from shopbook.services.postings import Source, post_stock, stock_of, write_log
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import RuleBroken
from shopbook.trade.stock import average_cost
from shopbook.trade.stock.average_cost import Outcome
from shopbook.trade.stock.movements import NO_PRICE, Ratio, Stock

UNBOUND = Source()
"""Belongs to no job, stage or mix."""
Take = Callable[[Stock, int, Ratio], Outcome]


def draw_stock(
    act: Act,
    material: Material,
    amount_thousandths: int,
    source: Source,
    *,
    on: date | None = None,
) -> list[Movement]:
    """Take a material from the shelf for a stage, at exact average; what is due first is taken first, and opened.

    Beyond the book is allowed and flagged. Nothing drawn is no line; nor is one of the shop supplies, which was
    spent when its pack was opened.
    """
    if amount_thousandths == 0 or material.way == WayUsed.SHOP_SUPPLIES:
        return []
    return _take(act, material, amount_thousandths, average_cost.issue, source, on)


def return_from_stage(
    act: Act,
    material: Material,
    amount_thousandths: int,
    source: Source,
    *,
    on: date | None = None,
) -> list[Movement]:
    """Put back what a stage did not use, at what that stage paid; `source` names the stage, or the job without one.

    RuleBroken when more would come back than the stage still has.
    """
    whose = {"job_id": source.job_id, "stage_id": source.stage_id}
    outcome = average_cost.return_from_stage(
        stock_of(material), amount_thousandths, get_drawn(act.session, material.id, **whose)
    )
    issue = find_last_issue(act.session, material.id, **whose)
    assert issue is not None
    lot_id = source.lot_id or issue.lot_id
    lines = post_stock(act, material, outcome, replace(source, returns_id=issue.id, lot_id=lot_id), on=on)
    if lot_id is not None:
        get_lot(act.session, lot_id).gone_on = None
    return lines


def waste_stock(
    act: Act,
    material: Material,
    amount_thousandths: int,
    source: Source = UNBOUND,
    *,
    cause: str,
    on: date | None = None,
) -> list[Movement]:
    """Record as waste what was spilled, hardened or out of date. RuleBroken for nothing wasted, or no cause."""
    if not cause.strip():
        raise RuleBroken("Enter a reason, for example spilled or out of date.", "cause")
    _refuse_nothing(amount_thousandths)
    source = replace(source, reason=cause.strip())
    lines = _take(act, material, amount_thousandths, average_cost.waste, source, on)
    write_log(act, "waste_stock", "material", material.id, f"Recorded waste of {material.name}: {source.reason}")
    return lines


def open_pack(act: Act, material: Material, *, packs: int = 1, on: date | None = None) -> list[Movement]:
    """A pack of shop supplies is opened: it counts as used at once, on no job.

    RuleBroken for a material that is measured or counted on jobs: it would be used twice.
    """
    if material.way != WayUsed.SHOP_SUPPLIES:
        raise RuleBroken(f"{material.name} is counted on each job, not when a pack is opened.")
    _refuse_nothing(packs)
    source = Source(reason="pack opened")
    lines = _take(act, material, packs * material.pack_thousandths, average_cost.issue, source, on)
    write_log(act, "open_pack", "material", material.id, f"Opened {material.pack_name}: {material.name}")
    return lines


def return_to_supplier(
    act: Act,
    material: Material,
    amount_thousandths: int,
    credit_minor: int,
    *,
    reason: str,
    lot_id: int | None = None,
    on: date | None = None,
) -> list[Movement]:
    """Send goods back for a credit: they leave at average, and what the credit falls short by is variance."""
    if not reason.strip():
        raise RuleBroken("Enter a reason, for example wrong product.", "reason")
    outcome = average_cost.return_to_supplier(stock_of(material), amount_thousandths, credit_minor, price_of(material))
    source = Source(lot_id=lot_id, reason=reason.strip())
    lines = post_stock(act, material, outcome, source, on=on)
    if lot_id is not None:
        _end_if_empty(act.session, material, get_lot(act.session, lot_id), on or act.day)
    words = f"Returned {material.name}: {source.reason}"
    write_log(act, "return_to_supplier", "material", material.id, words)
    return lines


def correct_price(
    act: Act,
    delivery_line_id: int,
    cost_minor: int,
    *,
    reason: str = "",
    on: date | None = None,
) -> list[Movement]:
    """A delivery turns out to have cost a total of `cost_minor`, delivery charge included; what is left follows."""
    line: DeliveryLine = get_delivery_line(act.session, delivery_line_id)
    if cost_minor < 0:
        raise RuleBroken("A price cannot be negative. Enter 0 or more.", "cost")
    material = get_material(act.session, line.material_id)
    outcome = average_cost.correct_price(
        stock_of(material), line.quantity_thousandths, cost_minor - line.cost_now_minor
    )
    source = Source(delivery_line_id=line.id, reason=reason.strip() or "price corrected")
    lines = post_stock(act, material, outcome, source, on=on)
    if cost_minor != line.cost_now_minor:
        _note_price(act, line, cost_minor, on or act.day)
    write_log(act, "correct_price", "material", material.id, f"Corrected a price: {material.name}")
    return lines


def _note_price(act: Act, line: DeliveryLine, cost_minor: int, on: date) -> None:
    person_id = act.actor.person_id
    act.session.add(
        DeliveryPrice(delivery_line_id=line.id, cost_minor=cost_minor, at=act.moment, on=on, person_id=person_id)
    )
    # What the line knows of its price is read anew: the newest word must be in the book by then.
    act.session.flush()
    act.session.expire(line, ["cost_now_minor"])


def price_of(material: Material) -> Ratio:
    """The supplier's price for a pack as a ratio; no price where none is known."""
    if not material.pack_price_minor:
        return NO_PRICE
    return Ratio(material.pack_price_minor, material.pack_thousandths)


def take_down(act: Act, material: Material, amount_thousandths: int, source: Source) -> list[Movement]:
    """What a count did not find, taken from the lots in the order of their use; the counts' own way down."""
    return _take(act, material, amount_thousandths, _count_down, source, None)


def _count_down(stock: Stock, amount: int, price: Ratio) -> Outcome:
    return average_cost.count(stock, stock.quantity_thousandths - amount, price)


def _take(
    act: Act,
    material: Material,
    amount: int,
    take: Take,
    source: Source,
    on: date | None,
) -> list[Movement]:
    """Post what leaves, lot by lot; each part is an act of its own, so that the value stays exact."""
    _refuse_nothing(amount)
    day = on or act.day
    lines: list[Movement] = []
    for lot, part in _split(act.session, material, amount, source.lot_id, day):
        outcome = take(stock_of(material), part, price_of(material))
        own = replace(source, lot_id=lot.id if lot else None)
        lines += post_stock(act, material, outcome, own, on=on)
        if lot is not None:
            if take is average_cost.issue:
                lot.opened_on = lot.opened_on or day
            _end_if_empty(act.session, material, lot, day)
    return lines


def _split(
    session: Session, material: Material, amount: int, lot_id: int | None, day: date
) -> Iterator[tuple[Lot | None, int]]:
    """The amount over lots, first to be used first; what no lot holds comes from none in particular."""
    lots = lots_left(session, material, day)
    if lot_id is not None:
        lots = [one for one in lots if one.lot.id == lot_id]
    for one in lots:
        part = min(amount, max(one.left_thousandths, 0))
        if part:
            yield one.lot, part
            amount -= part
        if not amount:
            return
    yield None, amount


def _end_if_empty(session: Session, material: Material, lot: Lot, day: date) -> None:
    left: list[LotLeft] = lots_left(session, material, day)
    if any(one.lot.id == lot.id and one.left_thousandths <= 0 for one in left):
        lot.gone_on = day


def _refuse_nothing(amount: int) -> None:
    if amount <= 0:
        raise RuleBroken("Enter a quantity greater than zero.", "quantity")

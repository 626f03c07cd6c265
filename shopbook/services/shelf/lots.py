"""Lots begin with a delivery or with the first count, and are opened."""

from datetime import date

from shopbook.models.shelf import Lot, Material
from shopbook.queries.shelf.lots import get_lot
from shopbook.services.act import Act
from shopbook.trade.errors import RuleBroken


def begin_lot(
    act: Act,
    material: Material,
    *,
    on: date,
    delivery_line_id: int | None = None,
    mark: str = "",
    expires_on: date | None = None,
) -> Lot | None:
    """What has a shelf life gets a lot; a batch number or use-by date on any other material makes one too.

    Without a delivery it is the opening stock, of which nobody knows how old it is.
    """
    if material.shelf_life_days is None and material.opened_life_days is None and not (mark or expires_on):
        return None
    lot = Lot(
        material_id=material.id,
        delivery_line_id=delivery_line_id,
        mark=mark.strip(),
        received_on=on,
        expires_on=expires_on,
    )
    act.session.add(lot)
    act.session.flush()
    return lot


def note_opened(act: Act, lot_id: int, on: date) -> Lot:
    """A lot was opened on a day; one that is open already keeps its own day.

    Part of the act that first uses it, which writes the log. RuleBroken, with the field `opened_<lot>`, for a day to
    come, or before the delivery. Opening stock may have been opened long before it was counted.
    """
    lot = get_lot(act.session, lot_id)
    if lot.opened_on is not None:
        return lot
    if on > act.day:
        raise RuleBroken("That day is in the future. Enter today or an earlier day.", f"opened_{lot_id}")
    if not lot.is_opening_stock and on < lot.received_on:
        raise RuleBroken("It was not delivered yet on that day. Enter a later day.", f"opened_{lot_id}")
    lot.opened_on = on
    return lot

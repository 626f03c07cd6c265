"""Lots of materials with a shelf life: what is left of each, in order of use, and what is near its use-by date."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Lot, Material, Movement
from shopbook.trade.errors import NotFound

SOON_OFF_DAYS = 180
"""What keeps no longer than this once opened: activators (75 days by default) and the like; common practice."""


@dataclass(frozen=True, slots=True)
class LotLeft:
    """One lot with what the movements leave of it; `good_till` is the earlier of its expiry and its opened life."""

    lot: Lot
    left_thousandths: int
    good_till: date | None

    def is_past(self, day: date) -> bool:
        """Whether the lot is out of date on a day."""
        return self.good_till is not None and self.good_till < day


@dataclass(frozen=True, slots=True)
class Expiring:
    """A lot that is out of date or soon will be, with its material."""

    material: Material
    left: LotLeft
    is_past: bool


def get_lot(session: Session, lot_id: int) -> Lot:
    """One lot; NotFound when there is none."""
    lot = session.get(Lot, lot_id)
    if lot is None:
        raise NotFound("There is no such batch in the book.")
    return lot


def good_till(lot: Lot, opened_life_days: int | None) -> date | None:
    """The last day on which a lot is good: its expiry, or sooner so many days after it was opened."""
    opened = lot.opened_on + timedelta(days=opened_life_days) if lot.opened_on and opened_life_days else None
    return min((day for day in (lot.expires_on, opened) if day is not None), default=None)


def lots_left(session: Session, material: Material, day: date) -> list[LotLeft]:
    """The lots of one material that are not used up, first to be used first: good ones by day, then those past it."""
    return _in_order(lots_by_material(session, [material]).get(material.id, []), day)


def lots_by_material(session: Session, materials: list[Material]) -> dict[int, list[LotLeft]]:
    """Lots that are not used up, by material id; one statement."""
    return by_material(list_live_lots(session, {one.id for one in materials}))


@dataclass(frozen=True, slots=True)
class LiveLot:
    """A lot that is not used up, with its material."""

    material: Material
    left: LotLeft

    @property
    def asks_opened_on(self) -> bool:
        """Whether its first use asks when it was opened: it is still closed, and soon goes off once it is not."""
        return self.left.lot.opened_on is None and 0 < (self.material.opened_life_days or 0) <= SOON_OFF_DAYS


def list_live_lots(session: Session, material_ids: Collection[int] | None = None) -> list[LiveLot]:
    """Lots that are not used up, of these materials or of all, oldest first; one statement."""
    moved = select(func.sum(Movement.quantity_thousandths)).where(Movement.lot_id == Lot.id).scalar_subquery()
    asked = select(Lot, Material, moved).join(Material, Material.id == Lot.material_id).where(Lot.gone_on.is_(None))
    if material_ids is not None:
        asked = asked.where(Lot.material_id.in_(material_ids))
    return [
        LiveLot(
            material,
            LotLeft(lot, lot.began_thousandths + int(quantity or 0), good_till(lot, material.opened_life_days)),
        )
        for lot, material, quantity in session.execute(asked.order_by(Lot.id))
    ]


def by_material(lots: Iterable[LiveLot]) -> dict[int, list[LotLeft]]:
    """What is left of each lot, by material id."""
    found: dict[int, list[LotLeft]] = {}
    for one in lots:
        found.setdefault(one.material.id, []).append(one.left)
    return found


def _in_order(lots: list[LotLeft], day: date) -> list[LotLeft]:
    return sorted(lots, key=lambda one: _order(one, day))


def _order(one: LotLeft, day: date) -> tuple[bool, bool, date, int]:
    """Opening stock is older than what was delivered; what is past its day comes last."""
    return (one.is_past(day), not one.lot.is_opening_stock, one.good_till or date.max, one.lot.id)


def next_lots(session: Session, materials: Collection[Material], day: date) -> list[LiveLot]:
    """The lot of each of these materials that is used next, where one has any left; one statement."""
    found: dict[int, LiveLot] = {}
    for one in list_live_lots(session, {material.id for material in materials}) if materials else ():
        held = found.get(one.material.id)
        if one.left.left_thousandths > 0 and (held is None or _order(one.left, day) < _order(held.left, day)):
            found[one.material.id] = one
    return sorted(found.values(), key=lambda one: one.material.name)


def expiring_among(lots: Iterable[LiveLot], day: date, within_days: int = 30) -> list[Expiring]:
    """The same of lots that are read already; no statement."""
    after = day + timedelta(days=within_days + 1)
    found = [
        Expiring(one.material, one.left, one.left.is_past(day))
        for one in lots
        if one.left.left_thousandths > 0 and one.left.is_past(after)
    ]
    return sorted(found, key=lambda one: (one.left.good_till or date.max, one.left.lot.id))

"""Lots of what spoils: what is left of each, in the order in which it is used up, and what will not last."""

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Lot, Material, Movement
from shopbook.trade.errors import NotFound


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
        raise NotFound("There is no such lot in the book.")
    return lot


def good_till(lot: Lot, opened_life_days: int | None) -> date | None:
    """The last day on which a lot is good: its expiry, or sooner so many days after it was opened."""
    opened = lot.opened_on + timedelta(days=opened_life_days) if lot.opened_on and opened_life_days else None
    return min((day for day in (lot.expires_on, opened) if day is not None), default=None)


def lots_left(session: Session, material: Material, day: date) -> list[LotLeft]:
    """The lots of one material that are not used up, first to be used first: good ones by day, then those past it."""
    return _in_order(lots_by_material(session, [material]).get(material.id, []), day)


def lots_by_material(session: Session, materials: list[Material]) -> dict[int, list[LotLeft]]:
    """Lots that are not used up, by material id; two statements."""
    lives = {one.id: one.opened_life_days for one in materials}
    lots = session.scalars(select(Lot).where(Lot.material_id.in_(lives), Lot.gone_on.is_(None)).order_by(Lot.id)).all()
    left = _left(session, [lot.id for lot in lots])
    found: dict[int, list[LotLeft]] = {}
    for lot in lots:
        one = LotLeft(lot, left.get(lot.id, 0), good_till(lot, lives[lot.material_id]))
        found.setdefault(lot.material_id, []).append(one)
    return found


def _left(session: Session, lot_ids: list[int]) -> dict[int, int]:
    if not lot_ids:
        return {}
    sums = session.execute(
        select(Movement.lot_id, func.sum(Movement.quantity_thousandths))
        .where(Movement.lot_id.in_(lot_ids))
        .group_by(Movement.lot_id)
    )
    return {lot_id: int(quantity) for lot_id, quantity in sums if lot_id is not None}


def _in_order(lots: list[LotLeft], day: date) -> list[LotLeft]:
    return sorted(lots, key=lambda one: (one.is_past(day), one.good_till or date.max, one.lot.id))


def list_expiring(session: Session, day: date, within_days: int = 30) -> list[Expiring]:
    """Lots with something left that are out of date on `day` or will be within so many days, the soonest first."""
    materials = list(
        session.scalars(
            select(Material).where(Material.id.in_(select(Lot.material_id).where(Lot.gone_on.is_(None)).distinct()))
        )
    )
    by_id = {one.id: one for one in materials}
    last = day + timedelta(days=within_days)
    found = [
        Expiring(by_id[material_id], left, left.is_past(day))
        for material_id, lots in lots_by_material(session, materials).items()
        for left in lots
        if left.left_thousandths > 0 and left.is_past(last + timedelta(days=1))
    ]
    return sorted(found, key=lambda one: (one.left.good_till or date.max, one.left.lot.id))

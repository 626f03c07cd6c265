"""Materials and suppliers: one, all, by words, and the one that stands for a role of the catalogue."""

from collections.abc import Iterable

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, Pot, Supplier
from shopbook.trade.coating.product_ranges import ProductRange, range_of
from shopbook.trade.errors import NotFound


def get_material(session: Session, material_id: int) -> Material:
    """One material; NotFound when there is none."""
    material = session.get(Material, material_id)
    if material is None:
        raise NotFound("There is no such material in the book.")
    return material


def get_materials(session: Session, material_ids: Iterable[int]) -> dict[int, Material]:
    """Materials by id; NotFound when one is missing; one statement."""
    wanted = set(material_ids)
    found = {one.id: one for one in session.scalars(select(Material).where(Material.id.in_(wanted)))} if wanted else {}
    if len(found) != len(wanted):
        raise NotFound("There is no such material in the book.")
    return found


def list_materials(session: Session, words: str = "", *, is_everything: bool = False) -> list[Material]:
    """Materials in use by name, those in whose name or shelf place all the words stand; or also the retired ones."""
    asked = select(Material).order_by(func.lower(Material.name), Material.id)
    if not is_everything:
        asked = asked.where(Material.is_active)
    found = list(session.scalars(asked))
    wanted = words.casefold().split()
    return [one for one in found if all(word in _searched(one) for word in wanted)] if wanted else found


def _searched(material: Material) -> str:
    return f"{material.name} {material.shelf_place} {material.pack_name} {material.role}".casefold()


def is_name_taken(session: Session, name: str, besides_id: int | None = None) -> bool:
    """Whether another material, retired or not, has that name whatever its capitals."""
    found = session.execute(select(Material.id, Material.name))
    return any(other.casefold() == name.casefold() and one != besides_id for one, other in found)


def materials_for_roles(session: Session, roles: Iterable[str]) -> dict[str, Material]:
    """The material in use that stands for each role: one with stock first, then a counted one, then the cheapest."""
    wanted = {role for role in roles if role}
    found = session.scalars(select(Material).where(Material.is_active, Material.role.in_(wanted)))
    return {one.role: one for one in sorted(found, key=_standing, reverse=True)}


def _standing(material: Material) -> tuple[bool, bool, bool, int, int]:
    """Last wins: a dictionary keeps the best of a role when the worst comes first."""
    price = material.pack_price_minor
    each = -(price * 10**9 // material.pack_thousandths) if price is not None else 0
    return (material.on_hand_thousandths <= 0, not material.is_counted, price is None, -each, material.id)


def list_ranges(session: Session) -> tuple[ProductRange, ...]:
    """In what air the newest material of each role may be worked, where its data sheet's range was typed."""
    rows = session.execute(
        select(Material.role, Material.name, Material.sheet)
        .where(Material.role != "", Material.is_active)
        .order_by(Material.id)
    )
    newest = {role: (name, sheet) for role, name, sheet in rows}
    found = (range_of(role, name, sheet) for role, (name, sheet) in newest.items())
    return tuple(each for each in found if each is not None)


def get_supplier(session: Session, supplier_id: int) -> Supplier:
    """One supplier; NotFound when there is none."""
    supplier = session.get(Supplier, supplier_id)
    if supplier is None:
        raise NotFound("There is no such supplier in the book.")
    return supplier


def list_suppliers(session: Session, *, is_everybody: bool = False) -> list[Supplier]:
    """Suppliers in use by name; or also the former ones."""
    asked = select(Supplier).order_by(func.lower(Supplier.name))
    return list(session.scalars(asked if is_everybody else asked.where(Supplier.is_active)))


def find_supplier_named(session: Session, name: str, besides: Supplier | None = None) -> Supplier | None:
    """The supplier of that name, whatever its capitals, or None; one may be left out."""
    alike = (one for one in session.scalars(select(Supplier)) if one.name.casefold() == name.casefold())
    return next((one for one in alike if one is not besides), None)


def get_pot(session: Session, pot_id: int) -> Pot:
    """One kept pot; NotFound when there is none."""
    pot = session.get(Pot, pot_id)
    if pot is None:
        raise NotFound("There is no such pot in the book.")
    return pot


def list_pots(session: Session, words: str = "") -> list[Pot]:
    """Pots that are still there, newest first; those in whose name or colour code all the words stand."""
    pots = session.scalars(select(Pot).where(Pot.gone_at.is_(None)).order_by(Pot.kept_on.desc(), Pot.id.desc()))
    wanted = words.casefold().split()
    return [pot for pot in pots if all(word in f"{pot.name} {pot.colour_code}".casefold() for word in wanted)]

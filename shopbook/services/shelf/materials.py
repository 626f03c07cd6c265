"""Materials come onto the shelf, change, and leave it for good; suppliers and the pots kept from single cars."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, Movement, Pot, Supplier
from shopbook.queries.shelf.materials import find_supplier_named, get_material, get_pot, get_supplier, is_name_taken
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.units import Unit

CHANGED_MEANWHILE = "Somebody else changed this meanwhile. Look at what is there now, then change it once more."
_NEW: dict[str, Any] = {
    "role": "",
    "way": WayUsed.MEASURED,
    "pack_price_minor": None,
    "order_at_quarters": 2,
    "supplier_id": None,
    "shelf_place": "",
    "shelf_life_days": None,
    "opened_life_days": None,
}
_OWN_FIELDS = (*_NEW, "name", "unit", "pack_thousandths", "pack_name")


def add_material(act: Act, *, sheet: Mapping[str, Any] | None = None, **values: Any) -> Material:
    """A new kind of thing: name, unit (ml, g or piece), pack_thousandths, pack_name, and what else is known.

    Further values: role, way, pack_price_minor, order_at_quarters, supplier_id, shelf_place, shelf_life_days,
    opened_life_days; `sheet` holds figures of the product's data sheet. It counts as not counted until somebody looks.
    RuleBroken for an empty or taken name, a pack of nothing, a unit or way that there is not.
    """
    material = Material(
        **_NEW | values,
        sheet=_figures({}, sheet or {}),
    )
    _check_material(act.session, material)
    act.session.add(material)
    act.session.flush()
    write_log(act, "add_material", "material", material.id, f"Put {material.name} on the shelf")
    return material


def change_material(
    act: Act,
    material_id: int,
    *,
    revision: int,
    sheet: Mapping[str, Any] | None = None,
    **values: Any,
) -> Material:
    """Change what is known of a material. Conflict when somebody else did meanwhile.

    Of `sheet` the figures given take the place of those kept, and None takes one out: it is not known any more.
    RuleBroken for another unit or way once something has moved: what was measured would be read as something else.
    """
    material = get_material(act.session, material_id)
    if material.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    if unknown := set(values) - set(_OWN_FIELDS):
        raise TypeError(f"unknown fields: {sorted(unknown)}")
    if values.get("unit", material.unit) != material.unit and _has_moved(act.session, material):
        raise RuleBroken("It has moved in this unit already: add a new material, and retire this one.", "unit")
    with act.session.no_autoflush:
        for name, value in values.items():
            setattr(material, name, value)
        _check_material(act.session, material)
    if sheet is not None:
        material.sheet = _figures(material.sheet, sheet)
    material.is_guess = False
    material.revision += 1
    act.session.flush()
    write_log(act, "change_material", "material", material.id, f"Changed {material.name}")
    return material


def retire_material(act: Act, material_id: int) -> Material:
    """Take a material off the lists. RuleBroken while the book says that some is there."""
    material = get_material(act.session, material_id)
    if material.on_hand_thousandths:
        raise RuleBroken("The book says that some of it is there: count it to nothing first, or write it off.")
    material.is_active = False
    material.revision += 1
    write_log(act, "retire_material", "material", material.id, f"Took {material.name} off the shelf")
    return material


def bring_back_material(act: Act, material_id: int) -> Material:
    """Put a retired material back on the lists."""
    material = get_material(act.session, material_id)
    material.is_active = True
    material.revision += 1
    write_log(act, "bring_back_material", "material", material.id, f"Brought {material.name} back")
    return material


def _figures(kept: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in {**kept, **given}.items() if value is not None}


def _check_material(session: Session, material: Material) -> None:
    material.name = " ".join(material.name.split())
    material.pack_name = " ".join(material.pack_name.split())
    if not material.name:
        raise RuleBroken("Type a name, such as Clear, medium solids.", "name")
    if is_name_taken(session, material.name, material.id):
        raise RuleBroken("Another material has that name, perhaps a retired one.", "name")
    if material.unit not in {Unit.ML, Unit.G, Unit.PIECE}:
        raise RuleBroken("A material is counted in ml, g or pieces.", "unit")
    if material.way not in set(WayUsed):
        raise RuleBroken("Say how it is used: measured, by the piece, or on the shop floor.", "way")
    _check_pack(session, material)


def _check_pack(session: Session, material: Material) -> None:
    if material.pack_thousandths <= 0:
        raise RuleBroken("A pack must hold more than nothing.", "pack")
    if not material.pack_name:
        raise RuleBroken("Say what a pack is called, such as 1 L or box.", "pack_name")
    if material.pack_price_minor is not None and material.pack_price_minor < 0:
        raise RuleBroken("A price cannot be less than nothing here.", "pack_price")
    if not 0 <= material.order_at_quarters <= 4000:
        raise RuleBroken("Order when so many quarters of a pack are left: a number from 0 up.", "order_at_quarters")
    if material.supplier_id is not None:
        get_supplier(session, material.supplier_id)


def _has_moved(session: Session, material: Material) -> bool:
    return bool(session.scalar(select(exists().where(Movement.material_id == material.id))))


def add_supplier(act: Act, *, name: str, phone: str = "", mail: str = "", lead_days: int = 1) -> Supplier:
    """A new supplier; RuleBroken for an empty or taken name, or days outside 0 to 365."""
    supplier = Supplier(name=name, phone=phone, mail=mail, lead_days=lead_days)
    _check_supplier(act.session, supplier)
    act.session.add(supplier)
    act.session.flush()
    write_log(act, "add_supplier", "supplier", supplier.id, f"Added the supplier {supplier.name}")
    return supplier


def change_supplier(act: Act, supplier_id: int, *, revision: int, **values: Any) -> Supplier:
    """Change name, phone, mail, lead_days or is_active; Conflict when somebody else did meanwhile."""
    supplier = get_supplier(act.session, supplier_id)
    if supplier.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    with act.session.no_autoflush:
        for name, value in values.items():
            setattr(supplier, name, value)
        _check_supplier(act.session, supplier)
    supplier.revision += 1
    act.session.flush()
    write_log(act, "change_supplier", "supplier", supplier.id, f"Changed the supplier {supplier.name}")
    return supplier


def _check_supplier(session: Session, supplier: Supplier) -> None:
    supplier.name = " ".join(supplier.name.split())
    if not supplier.name:
        raise RuleBroken("Type the supplier's name.", "name")
    if find_supplier_named(session, supplier.name, besides=supplier) is not None:
        raise RuleBroken("Another supplier has that name.", "name")
    if not 0 <= supplier.lead_days <= 365:
        raise RuleBroken("Type a number of days from 0 to 365.", "lead_days")


def keep_pot(
    act: Act,
    *,
    name: str,
    amount_thousandths: int,
    unit: str = Unit.ML,
    colour_code: str = "",
    job_id: int | None = None,
    expires_on: date | None = None,
) -> Pot:
    """Keep what is left of something bought or mixed for one car, at nil value. RuleBroken for no name or amount."""
    if not name.strip():
        raise RuleBroken("Say what is in the pot, such as harbour blue, base.", "name")
    if amount_thousandths <= 0:
        raise RuleBroken("Give a quantity of more than nothing.", "amount")
    pot = Pot(
        job_id=job_id,
        name=name.strip(),
        colour_code=colour_code.strip(),
        amount_thousandths=amount_thousandths,
        unit=unit,
        kept_on=act.day,
        expires_on=expires_on,
    )
    act.session.add(pot)
    act.session.flush()
    write_log(act, "keep_pot", "pot", pot.id, "Kept a pot", job_id=job_id)
    return pot


def clear_pot(act: Act, pot_id: int) -> Pot:
    """A pot is used up or thrown away; a second time is passed over."""
    pot = get_pot(act.session, pot_id)
    if pot.gone_at is None:
        pot.gone_at = act.moment
        write_log(act, "clear_pot", "pot", pot.id, "A pot is gone", job_id=pot.job_id)
    return pot

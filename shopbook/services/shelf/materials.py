"""Materials are added, changed and removed; so are suppliers, and the pots left from single cars."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from shopbook.models.shelf import Material, Movement, Pot, Supplier
from shopbook.queries.shelf.materials import find_supplier_named, get_material, get_pot, get_supplier, is_name_taken
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, write_log
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.units import Unit

CHANGED_MEANWHILE = "Someone else changed this in the meantime. Check what is there now, then make your change again."
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

    Other values: role, way, pack_price_minor, order_at_quarters, supplier_id, shelf_place, shelf_life_days,
    opened_life_days; `sheet` holds figures of the product's data sheet. It starts as not counted.
    RuleBroken for an empty or taken name, an empty pack, an unknown unit or way.
    """
    material = Material(
        **_NEW | values,
        sheet=_figures({}, sheet or {}),
    )
    _check_material(act.session, material)
    act.session.add(material)
    act.session.flush()
    write_log(act, "add_material", "material", material.id, f"Added {material.name}")
    return material


def change_material(
    act: Act,
    material_id: int,
    *,
    revision: int,
    sheet: Mapping[str, Any] | None = None,
    **values: Any,
) -> Material:
    """Change what is known of a material. Conflict when somebody else changed it in the meantime.

    Of `sheet` the figures given take the place of those kept, and None removes one.
    RuleBroken for another unit or way once something has moved: what was measured would be read as something else.
    """
    material = get_material(act.session, material_id)
    if material.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    if unknown := set(values) - set(_OWN_FIELDS):
        raise TypeError(f"unknown fields: {sorted(unknown)}")
    if values.get("unit", material.unit) != material.unit and _has_moved(act.session, material):
        raise RuleBroken("Stock has already moved in this unit. Add a new material and remove this one.", "unit")
    with act.session.no_autoflush:
        for name, value in values.items():
            setattr(material, name, value)
        _check_material(act.session, material)
    if sheet is not None:
        material.sheet = _figures(material.sheet, sheet)
    material.is_guess = False
    if not is_changed(act, material):
        return material
    material.revision += 1
    act.session.flush()
    write_log(act, "change_material", "material", material.id, f"Changed {material.name}")
    return material


def retire_material(act: Act, material_id: int) -> Material:
    """Take a material off the lists. RuleBroken while the book says that some is there."""
    material = get_material(act.session, material_id)
    if material.on_hand_thousandths:
        raise RuleBroken("The book says some is left. Count it to zero or record it as waste first.")
    material.is_active = False
    material.revision += 1
    write_log(act, "retire_material", "material", material.id, f"Removed {material.name} from the lists")
    return material


def bring_back_material(act: Act, material_id: int) -> Material:
    """Put a retired material back on the lists."""
    material = get_material(act.session, material_id)
    material.is_active = True
    material.revision += 1
    write_log(act, "bring_back_material", "material", material.id, f"Restored {material.name}")
    return material


def _figures(kept: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in {**kept, **given}.items() if value is not None}


def _check_material(session: Session, material: Material) -> None:
    material.name = " ".join(material.name.split())
    material.pack_name = " ".join(material.pack_name.split())
    if not material.name:
        raise RuleBroken("Enter a name, for example {clear}, medium solids.", "name")
    if is_name_taken(session, material.name, material.id):
        raise RuleBroken(
            "Another material has that name, perhaps one no longer listed. Enter a different name.", "name"
        )
    if material.unit not in {Unit.ML, Unit.G, Unit.PIECE}:
        raise RuleBroken("Choose ml, g or pieces.", "unit")
    if material.way not in set(WayUsed):
        raise RuleBroken("Choose how it is used: measured, by the piece, or as {supplies}.", "way")
    _check_pack(session, material)


def _check_pack(session: Session, material: Material) -> None:
    if material.pack_thousandths <= 0:
        raise RuleBroken("Enter a pack size greater than zero.", "pack")
    if not material.pack_name:
        raise RuleBroken("Enter what you call a pack, for example 1 L or box.", "pack_name")
    if material.pack_price_minor is not None and material.pack_price_minor < 0:
        raise RuleBroken("A price cannot be negative. Enter 0 or more.", "pack_price")
    if not 0 <= material.order_at_quarters <= 4000:
        raise RuleBroken("Enter an order level from 0 to 1,000 packs.", "order_at_quarters")
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
    """Change name, phone, mail, lead_days or is_active; Conflict when somebody else did so since."""
    supplier = get_supplier(act.session, supplier_id)
    if supplier.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    with act.session.no_autoflush:
        for name, value in values.items():
            setattr(supplier, name, value)
        _check_supplier(act.session, supplier)
    if not is_changed(act, supplier):
        return supplier
    supplier.revision += 1
    act.session.flush()
    write_log(act, "change_supplier", "supplier", supplier.id, f"Changed the supplier {supplier.name}")
    return supplier


def _check_supplier(session: Session, supplier: Supplier) -> None:
    supplier.name = " ".join(supplier.name.split())
    if not supplier.name:
        raise RuleBroken("Enter the supplier’s name.", "name")
    if find_supplier_named(session, supplier.name, besides=supplier) is not None:
        raise RuleBroken("Another supplier has that name. Enter a different name.", "name")
    if not 0 <= supplier.lead_days <= 365:
        raise RuleBroken("Enter a number of days from 0 to 365.", "lead_days")


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
    """Keep what is left of something bought or mixed for one car, at zero value. RuleBroken for no name or amount."""
    if not name.strip():
        raise RuleBroken("Enter what is in the pot, for example dark blue base.", "name")
    if amount_thousandths <= 0:
        raise RuleBroken("Enter a quantity greater than zero.", "amount")
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
    write_log(act, "keep_pot", "pot", pot.id, "Added a pot", job_id=job_id)
    return pot


def clear_pot(act: Act, pot_id: int) -> Pot:
    """A pot is used up or thrown away; a second time is passed over."""
    pot = get_pot(act.session, pot_id)
    if pot.gone_at is None:
        pot.gone_at = act.moment
        write_log(act, "clear_pot", "pot", pot.id, "Removed a pot", job_id=pot.job_id)
    return pot

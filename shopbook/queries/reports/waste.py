"""Solvent waste of a month by weight: cups poured away, spoiled cans, gun cleaner."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Mix, MixPart
from shopbook.models.shelf import Material, Movement
from shopbook.queries.floor.mixes import counts_still
from shopbook.queries.shelf.movements import happened
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.air.categories import WASTE_ROLES
from shopbook.trade.air.waste import WasteFigure, judge_month, waste_grams
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.stock.movements import MovementKind


@dataclass(frozen=True, slots=True)
class WasteLine:
    """One source of waste: thousandths of ml, whole grams (None without a density), and whether density is a guess."""

    name: str
    volume_thousandths: int
    grams: int | None
    is_guess: bool


@dataclass(frozen=True, slots=True)
class WasteMonth:
    """A month's solvent waste line by line, and the whole beside the classes of generators."""

    lines: tuple[WasteLine, ...]
    figure: WasteFigure

    @property
    def missing(self) -> tuple[str, ...]:
        """What has no density."""
        return tuple(f"density of {line.name}" for line in self.lines if line.grams is None)


def get_waste_month(session: Session, month: str) -> WasteMonth:
    """Waste of one month: spoiled on the shelf, spent on cleaning guns, and mixed paint poured away."""
    first, last = month_bounds(month)
    catalogue = catalogue_on(session, last)
    volumes: dict[tuple[str, int | None, bool], int] = {}
    for name, volume, density, is_guess in (
        *_from_shelf(session, first, last, catalogue),
        *_from_cups(session, first, last, catalogue),
    ):
        key = (name, density, is_guess)
        volumes[key] = volumes.get(key, 0) + volume
    lines = [
        WasteLine(name, volume, None if density is None else waste_grams(volume, density), is_guess)
        for (name, density, is_guess), volume in volumes.items()
    ]
    lines.sort(key=lambda line: (-(line.grams or 0), line.name))
    return WasteMonth(tuple(lines), judge_month(sum(line.grams or 0 for line in lines)))


_Found = tuple[str, int, int | None, bool]


def _from_shelf(session: Session, first: date, last: date, catalogue: Catalogue) -> Iterable[_Found]:
    rows = session.execute(
        select(Material, Movement.kind, Movement.quantity_thousandths)
        .join(Movement, Movement.material_id == Material.id)
        .where(
            Movement.on.between(first, last),
            Movement.kind.in_([MovementKind.WASTED, MovementKind.ISSUED]),
            happened(),
        )
        .order_by(Movement.id)
    )
    for material, kind, quantity in rows:
        is_waste = kind == MovementKind.WASTED or material.role in WASTE_ROLES
        if is_waste and quantity < 0 and Unit(material.unit).kind is Kind.VOLUME:
            density, is_guess = _density(material, material.role, catalogue)
            yield material.name, -quantity, density, is_guess


def _from_cups(session: Session, first: date, last: date, catalogue: Catalogue) -> Iterable[_Found]:
    """What was left of paint that never stood on the shelf; what did is booked as waste there."""
    rows = session.execute(
        select(MixPart, Mix)
        .join(Mix, Mix.id == MixPart.mix_id)
        .where(
            Mix.on.between(first, last),
            Mix.left_thousandths > 0,
            Mix.is_left_kept.is_(False),
            MixPart.material_id.is_(None),
            counts_still(Mix.id),
        )
        .order_by(MixPart.id)
    )
    for part, mix in rows:
        entry = catalogue.materials.get(part.role)
        if entry is not None and entry.unit.kind is not Kind.VOLUME:
            continue
        left = divide_half_away(part.amount_thousandths * mix.left_thousandths, mix.total_thousandths)
        density, is_guess = _density(None, part.role, catalogue)
        yield entry.name if entry else part.role.replace("_", " "), left, density, is_guess


def _density(material: Material | None, role: str, catalogue: Catalogue) -> tuple[int | None, bool]:
    """mg/ml of a product by its sheet, else the catalogue's guess for its role."""
    typed = material.sheet.get("density_mg_ml") if material is not None else None
    if typed:
        return typed, False
    entry = catalogue.materials.get(role)
    return (entry.density_mg_ml if entry else None), True

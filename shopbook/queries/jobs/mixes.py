"""Mixes as the plan wants them poured on a stage: one reading of a stage's uses for plan, floor, job card and cup."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage, StageUse
from shopbook.models.shelf import Material
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shelf.materials import best_by_role, materials_for_roles
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.mixing import MixLine, thumb_words
from shopbook.trade.coating.pouring import Pouring, share_shown
from shopbook.trade.coating.product_ranges import range_of
from shopbook.trade.letters import plain_code
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.planning.shapes import Conditions


@dataclass(frozen=True, slots=True)
class PlannedMix:
    """One mix of a stage as its card shows it; amounts in thousandths of `unit` (ml, or g for what is weighed).

    `thumb_ml` is the rule of thumb beside it, `cups` each of the mixes that its pot life makes of it; `is_made` when a
    mix made before covers it.
    """

    code: str
    name: str
    unit: str
    total_thousandths: int
    ratio: str
    pouring: Pouring
    cups: tuple[int, ...]
    coats: int
    pot_life_minutes: int | None
    thumb_ml: tuple[int, int] | None
    reason: str
    is_made: bool
    laid: tuple[str, ...] = ()
    """The coats one by one, in words."""
    gun: tuple[str, ...] = ()
    """The usual set-up of the gun, in words."""
    area_cm2: int = 0
    """What it covers; zero where the plan was drafted before this was kept."""

    @property
    def total_ml(self) -> int:
        """All of it as it is printed; of what is weighed, grams."""
        return divide_half_away(self.total_thousandths, 1000)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to look at before it is mixed: a part off the ratio, a volume off its rule of thumb."""
        thumb = thumb_words(self.total_thousandths, self.thumb_ml)
        return (*self.pouring.warnings, *([thumb] if thumb else ()))

    @property
    def lines(self) -> tuple[MixLine, ...]:
        """The pours of all of it."""
        return self.pouring.lines()

    @property
    def is_by_weight(self) -> bool:
        """Whether it is weighed rather than poured to lines."""
        return Unit(self.unit).kind is Kind.MASS

    @property
    def weight_thousandths_g(self) -> int | None:
        """What the scale shows once all of it is poured; None where a density is not known, or for what is weighed."""
        return None if self.is_by_weight or not self.lines else self.lines[-1].scale_shows_thousandths_g


@dataclass(frozen=True, slots=True)
class PlannedPiece:
    """One material of a stage that is counted by the piece."""

    use_id: int
    name: str
    unit: str
    amount_thousandths: int


def _own_materials(session: Session, uses: Sequence[StageUse]) -> dict[int, Material]:
    ids = {use.material_id for use in uses if use.material_id is not None}
    if not ids:
        return {}
    return {one.id: one for one in session.scalars(select(Material).where(Material.id.in_(ids)))}


def materials_of_uses(session: Session, stages: Iterable[Stage]) -> dict[int, Material]:
    """The material of every use of these stages, by the use's id: its own, else the one that stands for its role."""
    uses = [use for stage in stages for use in stage.uses]
    by_role = materials_for_roles(session, [use.role for use in uses if use.material_id is None])
    return _by_use(uses, _own_materials(session, uses), by_role)


def materials_within(whole: WholeJob) -> dict[int, Material]:
    """The same of the plan of a job that is read already."""
    by_role = best_by_role(one for one in whole.materials if one.role and one.is_active)
    uses = [use for stage in whole.stages for use in stage.uses]
    return _by_use(uses, {one.id: one for one in whole.materials}, by_role)


def _by_use(
    uses: Iterable[StageUse], by_id: Mapping[int, Material], by_role: Mapping[str, Material]
) -> dict[int, Material]:
    found = {use.id: by_id.get(use.material_id or 0) or by_role.get(use.role) for use in uses}
    return {key: material for key, material in found.items() if material is not None}


USUAL_COATS = 2


def coats_of_mix(stage: Stage, code: str) -> int:
    """How many coats the plan lays of a mix; the usual number where it does not say."""
    told = (each.get("coats") for each in stage.mixes if each["code"] == code)
    return int(next(told, None) or USUAL_COATS)


def planned_mixes(
    stage: Stage, materials: Mapping[int, Material], catalogue: Catalogue, made_roles: Iterable[str] = ()
) -> list[PlannedMix]:
    """The mixes of one stage in the plan's order; `made_roles` are roles that a mix made before has brought to it."""
    covered = set(made_roles)
    pourings = pourings_of(
        stage, lambda use: use_name(use, materials, catalogue), lambda use: _density(use, materials, catalogue)
    )
    told = {each["code"]: each for each in stage.mixes}
    return [
        _planned(code, uses, told.get(code, {}), pourings[code], covered) for code, uses in uses_by_mix(stage).items()
    ]


def uses_by_mix(stage: Stage) -> dict[str, list[StageUse]]:
    """The parts of each mix of a stage, in the order they are poured."""
    groups: dict[str, list[StageUse]] = {}
    for use in stage.uses:
        if use.mix:
            groups.setdefault(use.mix, []).append(use)
    return groups


def pourings_of(
    stage: Stage,
    name: Callable[[StageUse], str] = lambda use: use.role,
    density: Callable[[StageUse], float | None] = lambda use: None,
) -> dict[str, Pouring]:
    """What each mix of a stage is poured from, by its code: the ratio asked for, and the parts as they are now."""
    asked = {each["code"]: str(each.get("ratio", "")) for each in stage.mixes}
    return {
        code: Pouring(
            asked.get(code, ""),
            tuple(name(use) for use in uses),
            tuple(use.amount_thousandths for use in uses),
            tuple(density(use) for use in uses),
            Unit(uses[0].unit).kind is Kind.MASS,
        )
        for code, uses in uses_by_mix(stage).items()
    }


def _planned(
    code: str, uses: Sequence[StageUse], told: Mapping[str, Any], pouring: Pouring, covered: set[str]
) -> PlannedMix:
    thumb = told.get("thumb_ml")
    return PlannedMix(
        code=code,
        name=str(told.get("name") or plain_code(code)),
        unit=uses[0].unit,
        total_thousandths=pouring.total_thousandths,
        ratio=pouring.true_ratio,
        pouring=pouring,
        cups=_cups(told, pouring),
        coats=int(told.get("coats") or 0),
        pot_life_minutes=told.get("pot_life_minutes"),
        thumb_ml=(int(thumb[0]), int(thumb[1])) if thumb else None,
        reason=_without_life(str(told.get("reason", "")), told.get("pot_life_minutes")),
        is_made=any(use.role in covered for use in uses),
        laid=tuple(told.get("laid") or ()),
        gun=tuple(told.get("gun") or ()),
        area_cm2=int(told.get("area_cm2") or 0),
    )


def _cups(told: Mapping[str, Any], pouring: Pouring) -> tuple[int, ...]:
    """Each mix of several as drafted; where somebody changed the amounts since, the new whole in the same shares."""
    total = pouring.total_thousandths
    drafted = [int(ml) for ml in told.get("cups_ml") or ()] or [1] * int(told.get("batches") or 1)
    return share_shown(total, drafted, is_by_weight=pouring.is_by_weight) if total > 0 else (total,)


def _without_life(reason: str, pot_life_minutes: object) -> str:
    """The reason without its sentence on the pot life, which the card says beside the temperature."""
    return reason.replace(f"Spray it within {pot_life_minutes} min.", "").strip()


def use_name(use: StageUse, materials: Mapping[int, Material], catalogue: Catalogue) -> str:
    """What a use is called: the shelf's name, else the catalogue's, else its role said plainly."""
    material, entry = materials.get(use.id), catalogue.materials.get(use.role)
    if material is not None:
        return material.name
    return entry.name if entry else plain_code(use.role)


def _density(use: StageUse, materials: Mapping[int, Material], catalogue: Catalogue) -> float | None:
    """g/ml from the product's sheet, else the catalogue's guess, else unknown."""
    material, entry = materials.get(use.id), catalogue.materials.get(use.role)
    typed = material.sheet.get("density_mg_ml") if material is not None else None
    known = typed or (entry.density_mg_ml if entry else None)
    return None if known is None else known / 1000


def range_warnings(stage: Stage, materials: Mapping[int, Material], day: Conditions) -> tuple[str, ...]:
    """What the data sheets of a stage's own products say against the day; nothing once it is done."""
    if stage.finished_at is not None:
        return ()
    products = {material.id: material for use in stage.uses if (material := materials.get(use.id)) is not None}
    ranges = [range_of(one.role, one.name, one.sheet) for one in products.values()]
    return tuple(said for each in ranges if each for said in each.warnings(day.temperature_c, day.humidity))


def planned_pieces(stage: Stage, materials: Mapping[int, Material], catalogue: Catalogue) -> list[PlannedPiece]:
    """What of one stage is counted by the piece."""
    return [
        PlannedPiece(use.id, use_name(use, materials, catalogue), use.unit, use.amount_thousandths)
        for use in stage.uses
        if use.way == "piece"
    ]

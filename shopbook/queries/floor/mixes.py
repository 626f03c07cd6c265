"""Mixes: as the plan wants them poured on a stage, and as they were made."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from shopbook.models.floor import Mix, MixPart, MixShare, MixTakenBack
from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.models.shelf import Material
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shelf.materials import best_by_role, materials_for_roles
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.mixing import MixLine
from shopbook.trade.coating.pouring import Pouring
from shopbook.trade.coating.product_ranges import range_of
from shopbook.trade.letters import plain_code
from shopbook.trade.measures.amounts import share_out
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


def planned_mixes(
    stage: Stage, materials: Mapping[int, Material], catalogue: Catalogue, made_roles: Iterable[str] = ()
) -> list[PlannedMix]:
    """The mixes of one stage in the plan's order; `made_roles` are roles that a mix made before has brought to it."""
    told = {each["code"]: each for each in stage.mixes}
    groups: dict[str, list[StageUse]] = {}
    for use in stage.uses:
        if use.mix:
            groups.setdefault(use.mix, []).append(use)
    covered = set(made_roles)
    return [_planned(code, uses, told.get(code, {}), materials, catalogue, covered) for code, uses in groups.items()]


def _planned(
    code: str,
    uses: Sequence[StageUse],
    told: Mapping[str, Any],
    materials: Mapping[int, Material],
    catalogue: Catalogue,
    covered: set[str],
) -> PlannedMix:
    names = [use_name(use, materials, catalogue) for use in uses]
    parts = [use.amount_thousandths for use in uses]
    ratio = str(told.get("ratio", ""))
    is_weighed = Unit(uses[0].unit).kind is Kind.MASS
    densities = [_density(use, materials, catalogue) for use in uses]
    thumb = told.get("thumb_ml")
    return PlannedMix(
        code=code,
        name=str(told.get("name") or plain_code(code)),
        unit=uses[0].unit,
        total_thousandths=sum(parts),
        ratio=ratio,
        pouring=Pouring(ratio, tuple(names), tuple(parts), tuple(densities), is_weighed),
        cups=_cups(told, sum(parts)),
        coats=int(told.get("coats") or 0),
        pot_life_minutes=told.get("pot_life_minutes"),
        thumb_ml=(int(thumb[0]), int(thumb[1])) if thumb else None,
        reason=_without_life(str(told.get("reason", "")), told.get("pot_life_minutes")),
        is_made=any(use.role in covered for use in uses),
        laid=tuple(told.get("laid") or ()),
        gun=tuple(told.get("gun") or ()),
    )


def _cups(told: Mapping[str, Any], total: int) -> tuple[int, ...]:
    """Each mix of several as drafted; where somebody changed the amounts since, the new whole in the same shares."""
    drafted = [int(ml) for ml in told.get("cups_ml") or ()] or [1] * int(told.get("batches") or 1)
    return tuple(share_out(total, drafted)) if total > 0 else (total,)


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


def counts_still(mix_id: ColumnElement[int] | InstrumentedAttribute[int]) -> ColumnElement[bool]:
    """Of a mix's key in a statement: that the mix was not taken back."""
    return mix_id.not_in(select(MixTakenBack.mix_id))


def roles_made(session: Session, stage_ids: Iterable[int]) -> dict[int, set[str]]:
    """Roles that mixes made before have brought to these stages, by stage id; one statement."""
    session.flush()
    lines = session.execute(
        select(MixShare.stage_id, MixPart.role)
        .join(MixPart, MixPart.mix_id == MixShare.mix_id)
        .where(MixShare.stage_id.in_(list(stage_ids)), counts_still(MixShare.mix_id))
    )
    found: dict[int, set[str]] = {}
    for stage_id, role in lines:
        found.setdefault(stage_id, set()).add(role)
    return found


@dataclass(frozen=True, slots=True)
class MixTaken:
    """What one stage took of a mix, in thousandths."""

    job_number: int
    stage_id: int
    amount_thousandths: int


@dataclass(frozen=True, slots=True)
class MadeMix:
    """A mix as it was made, with the jobs and stages that took of it, in thousandths."""

    id: int
    name: str
    total_thousandths: int
    left_thousandths: int
    is_left_kept: bool
    is_assumed: bool
    shares: tuple[MixTaken, ...]


def list_mixes(
    session: Session,
    *,
    on: date | None = None,
    person_id: int | None = None,
    job_id: int | None = None,
    stage_id: int | None = None,
) -> list[MadeMix]:
    """Mixes as they were made, oldest first: of a day, a person, a job or a stage; one statement."""
    session.flush()
    asked = (
        select(*_MADE, Job.number, MixShare.stage_id, MixShare.amount_thousandths)
        .outerjoin(MixShare, MixShare.mix_id == Mix.id)
        .outerjoin(Stage, Stage.id == MixShare.stage_id)
        .outerjoin(Job, Job.id == Stage.job_id)
        .where(counts_still(Mix.id))
        .order_by(Mix.id, MixShare.id)
    )
    if on is not None:
        asked = asked.where(Mix.on == on)
    if person_id is not None:
        asked = asked.where(Mix.person_id == person_id)
    if stage_id is not None:
        asked = asked.where(Mix.id.in_(select(MixShare.mix_id).where(MixShare.stage_id == stage_id)))
    if job_id is not None:
        own = select(MixShare.mix_id).join(Stage, Stage.id == MixShare.stage_id).where(Stage.job_id == job_id)
        asked = asked.where(Mix.id.in_(own))
    made: dict[int, MadeMix] = {}
    shares: dict[int, list[MixTaken]] = {}
    for key, name, total, left, is_left_kept, is_assumed, number, stage, amount in session.execute(asked):
        made.setdefault(key, MadeMix(key, name, total, left, is_left_kept, is_assumed, ()))
        if stage is not None:
            shares.setdefault(key, []).append(MixTaken(number, stage, amount))
    return [replace(mix, shares=tuple(shares.get(mix.id, ()))) for mix in made.values()]


_MADE = (Mix.id, Mix.name, Mix.total_thousandths, Mix.left_thousandths, Mix.is_left_kept, Mix.is_assumed)

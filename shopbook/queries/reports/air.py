"""The air record of a month: every mix with its VOC by the products' own data sheets, and what figures are missing."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Mix, MixPart, MixShare
from shopbook.models.jobs import Job, Stage
from shopbook.models.shelf import Material, Movement
from shopbook.queries.floor.mixes import counts_still
from shopbook.queries.shelf.movements import happened
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.rates import catalogue_on
from shopbook.trade.air.categories import CLEANING_ROLES, Category, category_of, limit_of, topcoat_limit
from shopbook.trade.air.voc import (
    AirEntry,
    Ingredient,
    Limit,
    VocFigure,
    multi_stage_g_per_l,
    to_thousandths_g,
    voc_of_mix,
)
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.stock.movements import MovementKind


@dataclass(frozen=True, slots=True)
class AirPart:
    """One liquid of a mix with what its product's sheet says; None and "" where nobody typed it."""

    name: str
    role: str
    amount_thousandths: int
    voc_g_l: int | None
    water_percent: int | None
    exempt_percent: int | None
    maker: str
    product_number: str


@dataclass(frozen=True, slots=True)
class AirMix:
    """One mix of the record; `voc` is None, and `missing` says why, where a figure of a sheet is not there."""

    id: int
    on: date
    name: str
    category: Category
    jobs: tuple[int, ...]
    total_thousandths: int
    parts: tuple[AirPart, ...]
    voc: VocFigure | None
    missing: tuple[str, ...]
    limit: Limit | None


@dataclass(frozen=True, slots=True)
class AirTopcoat:
    """The topcoat of one job as a whole: base, mid coats and clear weighed as the federal rule does."""

    job: int
    less_water_g_per_l: float
    limit: Limit


@dataclass(frozen=True, slots=True)
class AirMonth:
    """The record of one month; `grams` are thousandths of a gram of VOC by category, of what could be reckoned."""

    mixes: tuple[AirMix, ...]
    topcoats: tuple[AirTopcoat, ...]
    grams: Mapping[Category, int]
    missing: tuple[str, ...]

    @property
    def total_thousandths_g(self) -> int:
        """The total of all categories."""
        return sum(self.grams.values())


def get_air_month(session: Session, month: str) -> AirMonth:
    """What was mixed in a month and what of it went into the air, as far as the products' sheets say."""
    first, last = month_bounds(month)
    limits = country_of(get_book(session)).air_limits
    mixes = list_air_mixes(session, first, last, limits)
    cleaning, unknown = _cleaning(session, first, last)
    grams: dict[Category, int] = defaultdict(int)
    for mix in mixes:
        if mix.voc is not None:
            grams[mix.category] += to_thousandths_g(mix.voc.voc_g)
    if cleaning:
        grams[Category.CLEANING] += cleaning
    missing = dict.fromkeys([*(each for mix in mixes for each in mix.missing), *unknown])
    return AirMonth(
        tuple(mixes),
        tuple(_topcoats(mixes, limits)),
        {category: grams[category] for category in Category if category in grams},
        tuple(missing),
    )


def list_air_entries(session: Session, first: date, last: date) -> list[AirEntry]:
    """VOC of every mix of some days that could be reckoned, for totals by month."""
    return [
        AirEntry(mix.on, mix.category, to_thousandths_g(mix.voc.voc_g))
        for mix in list_air_mixes(session, first, last)
        if mix.voc is not None
    ]


def list_air_mixes(session: Session, first: date, last: date, limits: Sequence[Limit] = ()) -> list[AirMix]:
    """Every mix of liquids from a day to a day, oldest first, each beside its own of the limits given.

    What is weighed (filler) is no part of it.
    """
    session.flush()
    asked = select(Mix).where(Mix.on.between(first, last), counts_still(Mix.id)).order_by(Mix.on, Mix.id)
    mixes = list(session.scalars(asked))
    keys = [mix.id for mix in mixes]
    catalogue = catalogue_on(session, last)
    parts = _parts(session, keys, catalogue)
    jobs = _jobs(session, keys)
    return [_air_mix(mix, parts[mix.id], jobs.get(mix.id, ()), limits) for mix in mixes if parts.get(mix.id)]


def _air_mix(mix: Mix, parts: Sequence[AirPart], jobs: Sequence[int], limits: Sequence[Limit]) -> AirMix:
    category = category_of(part.role for part in parts)
    missing = [f"VOC of {part.name}" for part in parts if part.voc_g_l is None]
    return AirMix(
        id=mix.id,
        on=mix.on,
        name=mix.name,
        category=category,
        jobs=tuple(jobs),
        total_thousandths=sum(part.amount_thousandths for part in parts),
        parts=tuple(parts),
        voc=None if missing else _voc(parts),
        missing=tuple(missing),
        limit=limit_of(category, limits),
    )


def _voc(parts: Sequence[AirPart]) -> VocFigure | None:
    """None where everything in it is water or exempt: there is nothing to calculate."""
    liquids = [
        Ingredient(
            part.name,
            part.amount_thousandths / 1000,
            float(part.voc_g_l or 0),
            (part.water_percent or 0) / 100,
            (part.exempt_percent or 0) / 100,
        )
        for part in parts
    ]
    if all(each.water_share + each.exempt_share >= 1 for each in liquids):
        return None
    return voc_of_mix(liquids)


def _parts(session: Session, mix_ids: Sequence[int], catalogue: Catalogue) -> dict[int, list[AirPart]]:
    rows = session.execute(
        select(MixPart, Material)
        .outerjoin(Material, Material.id == MixPart.material_id)
        .where(MixPart.mix_id.in_(mix_ids))
        .order_by(MixPart.id)
    )
    found: dict[int, list[AirPart]] = {}
    for part, material in rows:
        if part.amount_thousandths > 0 and _is_liquid(part, material, catalogue):
            found.setdefault(part.mix_id, []).append(_part(part, material, catalogue))
    return found


def _part(part: MixPart, material: Material | None, catalogue: Catalogue) -> AirPart:
    sheet = material.sheet if material is not None else {}
    entry = catalogue.materials.get(part.role)
    plain = entry.name if entry else part.role.replace("_", " ") or "unknown product"
    return AirPart(
        name=material.name if material is not None else plain,
        role=part.role,
        amount_thousandths=part.amount_thousandths,
        voc_g_l=sheet.get("voc_g_l"),
        water_percent=sheet.get("water_percent"),
        exempt_percent=sheet.get("exempt_percent"),
        maker=sheet.get("maker") or "",
        product_number=sheet.get("product_number") or "",
    )


def _is_liquid(part: MixPart, material: Material | None, catalogue: Catalogue) -> bool:
    if material is not None:
        return Unit(material.unit).kind is Kind.VOLUME
    entry = catalogue.materials.get(part.role)
    return entry is None or entry.unit.kind is Kind.VOLUME


def _jobs(session: Session, mix_ids: Sequence[int]) -> dict[int, list[int]]:
    rows = session.execute(
        select(MixShare.mix_id, Job.number)
        .join(Stage, Stage.id == MixShare.stage_id)
        .join(Job, Job.id == Stage.job_id)
        .where(MixShare.mix_id.in_(mix_ids))
        .distinct()
        .order_by(MixShare.mix_id, Job.number)
    )
    found: dict[int, list[int]] = {}
    for mix_id, number in rows:
        found.setdefault(mix_id, []).append(number)
    return found


def _topcoats(mixes: Iterable[AirMix], limits: Sequence[Limit]) -> list[AirTopcoat]:
    """One for each job whose base and clear are both known; the highest of several mixes of a kind counts. None where
    no rule weighs a topcoat as a whole."""
    by_job: dict[int, dict[Category, list[float]]] = {}
    for mix in mixes:
        for job in mix.jobs:
            if mix.voc is not None:
                kinds = by_job.setdefault(job, defaultdict(list))
                kinds[mix.category].append(mix.voc.less_water_g_per_l)
    found = []
    for job, kinds in sorted(by_job.items()):
        base, clear, middle = kinds[Category.BASE], kinds[Category.CLEAR], kinds[Category.MIDCOAT]
        limit = topcoat_limit(len(middle), limits)
        if base and clear and limit:
            found.append(AirTopcoat(job, multi_stage_g_per_l(max(base), max(clear), middle), limit))
    return found


def _cleaning(session: Session, first: date, last: date) -> tuple[int, list[str]]:
    """Thousandths of a gram of VOC in thinner and cleaners taken from the shelf, and what of them has no figure."""
    rows = session.execute(
        select(Material, Movement.quantity_thousandths)
        .join(Movement, Movement.material_id == Material.id)
        .where(
            Material.role.in_(CLEANING_ROLES),
            Movement.kind == MovementKind.ISSUED,
            happened(),
            Movement.on.between(first, last),
        )
        .order_by(Movement.id)
    )
    total, missing = 0, []
    for material, quantity in rows:
        voc = material.sheet.get("voc_g_l")
        if voc is None:
            missing.append(f"VOC of {material.name}")
        else:
            total += to_thousandths_g(-quantity / 1000 * voc / 1000)
    return total, missing

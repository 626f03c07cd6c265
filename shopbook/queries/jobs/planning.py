"""What a job's plan is drafted from, gathered: catalogue of the day, car, damages, conditions, choices."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.customers import Vehicle
from shopbook.models.jobs import Damage, GaugeReading, Job
from shopbook.queries.customers import get_vehicle
from shopbook.queries.jobs.damage import list_damages, list_readings
from shopbook.queries.jobs.earlier import (
    EarlierCoats,
    EarlierMaterial,
    coat_roles,
    earlier_words,
    list_earlier,
    list_earlier_materials,
)
from shopbook.queries.shelf.materials import list_ranges
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.coating.paints import Finish
from shopbook.trade.coating.product_ranges import ProductRange
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Access,
    Car,
    Choices,
    ClearStop,
    Coat,
    Conditions,
    Crossing,
    DamageKind,
    DepthStep,
    DraftDamage,
    DraftPlan,
    PaintChoice,
    Plastic,
    Reach,
    SizeStep,
    Substrate,
)
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class Planning:
    """What `draft_plan` takes."""

    catalogue: Catalogue
    car: Car
    damages: tuple[DraftDamage, ...]
    conditions: Conditions
    choices: Choices

    def draft(self) -> DraftPlan | None:
        """The plan as it would be drafted now; None without any damage."""
        if not self.damages:
            return None
        return draft_plan(self.catalogue, self.car, self.damages, self.conditions, self.choices)


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known beside the damage: what the gauge read, what earlier jobs put on, in what air products may be."""

    readings: Sequence[GaugeReading] = ()
    earlier: Sequence[EarlierCoats] = ()
    ranges: tuple[ProductRange, ...] = ()
    used: Sequence[EarlierMaterial] = ()
    """The materials of those coats, for a comeback."""

    def lay_on(self, damage: DraftDamage) -> DraftDamage:
        """The damage with the thickest reading of its panel, and with filler that a job of our own laid there."""
        thickest = max((each.film_um for each in self.readings if each.panel == damage.panel), default=0)
        is_ours = any(each.panel == damage.panel and Coat.FILLER in each.coats for each in self.earlier)
        return replace(damage, film_um=thickest, was_filled=damage.was_filled or is_ours)


def see(shop: ShopOn, job: Job, readings: Sequence[GaugeReading], ranges: tuple[ProductRange, ...]) -> Seen:
    """What is known of a job beside its damage, where readings and ranges are already read."""
    used = list_earlier_materials(shop.session, job, coat_roles(shop.catalogue))
    return Seen(readings, list_earlier(shop.session, job), ranges, used)


def plan_shop(shop: ShopOn, job: Job) -> ShopOn:
    """Today's shop on the day whose standards count: that of the approval once it was given, so that later edits do not
    reach an approved plan."""
    return shop.on(shop.day_of(job.agreed_at)) if job.agreed_at else shop


def planning_of(session: Session, job: Job, now: datetime) -> Planning:
    """What a job's plan is drafted from at `now`; removed damage and what the customer declined are left out."""
    return planning_on(shop_at(session, now), job)


def planning_on(shop: ShopOn, job: Job) -> Planning:
    """The same in today's shop that is already read."""
    session = shop.session
    vehicle = get_vehicle(session, job.vehicle_id) if job.vehicle_id else None
    seen = see(shop, job, list_readings(session, job.id), list_ranges(session))
    return planning_with(plan_shop(shop, job), job, vehicle, list_damages(session, job.id), seen)


def planning_with(
    shop: ShopOn,
    job: Job,
    vehicle: Vehicle | None,
    damages: Iterable[Damage],
    seen: Seen,
) -> Planning:
    """The same of what is read already; `shop` as it stands on the day whose standards count."""
    kept = job.conditions
    return Planning(
        catalogue=shop.catalogue,
        car=replace(
            car_of(vehicle, is_silicone_suspected=bool(kept.get("is_silicone_suspected"))),
            earlier=earlier_words(seen.earlier, shop.country, seen.used) if job.comeback_of_id else (),
        ),
        damages=tuple(seen.lay_on(draft_damage(row)) for row in damages if row.left_at is None),
        conditions=conditions_of(shop.settings, seen.ranges, kept),
        choices=_choices(kept),
    )


def conditions_of(
    usual: Mapping[SettingName, Any], ranges: tuple[ProductRange, ...], kept: dict[str, Any] | None = None
) -> Conditions:
    """The shop's usual conditions, of settings and ranges that are read already, under what was kept for a job."""
    given = kept or {}
    return Conditions(
        temperature_c=given.get("temperature_tenths", usual[SettingName.SHOP_TEMPERATURE_TENTHS]) / 10,
        humidity=float(given.get("humidity", 50)),
        has_lamp=bool(given.get("has_lamp", usual[SettingName.HAS_LAMP])),
        has_booth=bool(given.get("has_booth", usual[SettingName.HAS_BOOTH])),
        ranges=ranges,
    )


def car_of(vehicle: Vehicle | None, *, is_silicone_suspected: bool = False) -> Car:
    """What of a vehicle bears on the plan; a finish that is not known is planned as metallic, the careful way."""
    if vehicle is None:
        return Car(is_silicone_suspected=is_silicone_suspected, is_finish_known=False)
    is_known = vehicle.finish in set(Finish)
    return Car(
        finish=Finish(vehicle.finish) if is_known else Finish.METALLIC,
        is_finish_known=is_known,
        hue=" ".join(filter(None, (vehicle.hue, vehicle.colour_name, vehicle.colour_code))),
        is_silicone_suspected=is_silicone_suspected,
        is_high_voltage=vehicle.is_high_voltage,
        has_driver_aids=vehicle.has_driver_aids,
    )


def draft_damage(row: Damage) -> DraftDamage:
    """One kept damage as drafting takes it."""
    return DraftDamage(
        number=row.number,
        panel=row.panel,
        kind=DamageKind(row.kind),
        size=SizeStep(row.size),
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        depth=DepthStep(row.depth),
        depth_um=row.depth_um,
        dent_count=row.dent_count,
        dent_class_mm=row.dent_class_mm,
        crosses=frozenset(Crossing(each) for each in row.crosses.split(",") if each),
        access=Access(row.access) if row.access else None,
        substrate=Substrate(row.substrate),
        is_paint_sound=row.is_paint_sound,
        paint=PaintChoice(row.paint),
        reach=Reach(row.reach),
        chip_count=row.chip_count,
        plastic=Plastic(row.plastic),
        was_filled=row.was_filled,
        is_epoxy_first=row.is_epoxy_first,
        clear_stop=ClearStop(row.clear_stop),
        blend_into=frozenset(each for each in row.blend_into.split(",") if each),
    )


def _choices(kept: dict[str, Any]) -> Choices:
    return Choices(
        base_coats=kept.get("base_coats"),
        clear_coats=kept.get("clear_coats"),
        surfacer_coats=kept.get("surfacer_coats"),
        is_blended=kept.get("is_blended"),
        is_surfacer_for_build=bool(kept.get("is_surfacer_for_build")),
        left_out=frozenset(kept.get("left_out", ())),
    )

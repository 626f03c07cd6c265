"""How a mix is laid: its coats one by one with their flashes, and the gun's set-up from the shop's catalogue."""

from collections.abc import Sequence
from dataclasses import replace

from shopbook.trade.coating.film import to_thousandths_ml
from shopbook.trade.coating.gun import CoatKind, SprayedCoat, coats_for, say_setting
from shopbook.trade.coating.paints import Finish, Paint
from shopbook.trade.coating.pots import TimedCoat, coat_minutes
from shopbook.trade.coating.weather import water_flash
from shopbook.trade.floor.waits import scaled_minutes
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.work import DraftBasis

PAINTS = {
    "clear_matt": Paint.CLEAR_MEDIUM,
    "ground_water": Paint.GROUND,
    "midcoat_water": Paint.MIDCOAT,
} | {paint.value: paint for paint in Paint}
"""The kind of paint that each mix of the catalogue is."""

BASE_MIXES = frozenset({Paint.BASE_SOLVENT, Paint.BASE_WATER})
SPECIAL = frozenset({CoatKind.THIN, CoatKind.BLEND_BED, CoatKind.DROP})
MISTED = frozenset({Paint.PROMOTER, Paint.ETCH, Paint.MIDCOAT})
"""Laid so light, or over what went on thin already, that no thinner coat comes before them."""


def is_water_borne(setting: DraftBasis) -> bool:
    """Whether the shop sprays waterborne base."""
    return bool(setting.number("base_is_water"))


def own_kind(setting: DraftBasis, code: str) -> str:
    """The shop's own kind of a base, ground or mid coat: the waterborne mix where it sprays water."""
    water = {"base_solvent": "base_water", "ground": "ground_water", "midcoat": "midcoat_water"}
    return water.get(code, code) if is_water_borne(setting) else code


def coats_laid(setting: DraftBasis, code: str, count: int) -> tuple[SprayedCoat, ...]:
    """The coats of one mix in order: `count` plain ones, a thin one first on suspected silicone, a drop coat on flake.

    Under a three-stage colour the ground is plain and its mid coats are all alike, as on the card that was chosen.
    """
    paint = PAINTS.get(code)
    if paint is None:
        return ()
    finish = Finish.SOLID if setting.car.finish is Finish.THREE_STAGE else setting.car.finish
    coats = coats_for(
        paint,
        Finish.SOLID if paint is Paint.MIDCOAT else finish,
        setting.car.hue,
        silicone_suspected=setting.car.is_silicone_suspected and paint not in MISTED,
        blend=bool(setting.blended) and paint in BASE_MIXES,
    )
    return _counted(coats, count)


def coat_words(setting: DraftBasis, coats: Sequence[SprayedCoat], *, is_water: bool = False) -> tuple[str, ...]:
    """Each coat in words with the minutes of flash after it on the day; two alike are said once.

    Water-borne coats flash by the humidity, the others by the temperature.
    """
    found: list[str] = []
    for coat in coats:
        wait = f", {flash_of(setting, coat, is_water=is_water)} min" if coat.flash_minutes else ""
        found.append(f"{setting.say(coat.words)}{wait}")
    return tuple(
        f"{found.count(words)} × {words}" if found.count(words) > 1 else words for words in dict.fromkeys(found)
    )


def flash_of(setting: DraftBasis, coat: SprayedCoat, *, is_water: bool = False) -> int:
    """Minutes of flash after a coat in the air of the day."""
    day = setting.conditions
    if is_water:
        return water_flash(coat.flash_minutes, day.temperature_c, day.humidity).minutes
    return scaled_minutes(coat.flash_minutes, day.temperature_c).minutes


def timed_coats(setting: DraftBasis, code: str, count: int, need_ml: float, area_m2: float) -> tuple[TimedCoat, ...]:
    """The coats of one mix with their share of `need_ml` (the film of the counted coats) and their minutes on the day.

    A thin first coat takes its share on top: two coats of 160 ml with 0.3 of one before them are 368 ml.
    """
    laid = coats_laid(setting, code, count) or (SprayedCoat(CoatKind.MEDIUM, 1, 8, ""),) * count
    whole = sum(coat.share for coat in laid)
    film = sum(coat.share for coat in laid if coat.kind is not CoatKind.THIN) or whole
    minutes = coat_minutes(setting.catalogue.mixes[code].coat_minutes, area_m2, setting.number("coat_least_minutes"))
    need = to_thousandths_ml(need_ml * whole / film)
    parts = share_out(need, [round(coat.share * 1_000_000) for coat in laid])
    is_water = code.endswith("_water")
    return tuple(
        TimedCoat(part, minutes, flash_of(setting, coat, is_water=is_water))
        for part, coat in zip(parts, laid, strict=True)
    )


def first_words(coats: Sequence[SprayedCoat]) -> list[str]:
    """What is laid before the plain coats: the thin first coat, the bed of a blend."""
    return [coat.words for coat in coats if coat.kind in SPECIAL - {CoatKind.DROP}]


def last_words(coats: Sequence[SprayedCoat]) -> list[str]:
    """What is laid after the plain coats: the drop coat."""
    return [coat.words for coat in coats if coat.kind is CoatKind.DROP]


def gun_words(setting: DraftBasis, code: str) -> str:
    """The gun's set-up for a mix as the shop's catalogue has it, as ranges; "" where it has none."""
    guns = setting.catalogue.guns
    gun = guns.get(code) or guns.get(code.removesuffix("_water"))
    if gun is None:
        return ""
    told = [
        f"tip {say_setting('tip_mm', *gun.tip_mm)}",
        f"{say_setting('inlet_bar', *gun.inlet_bar)} at the inlet",
        f"{say_setting('distance_cm', *gun.distance_cm)} off",
        f"overlap {say_setting('overlap_percent', *gun.overlap_percent)}",
        *([f"fan {gun.fan}"] if gun.fan else []),
        *([f"fluid {gun.fluid}"] if gun.fluid else []),
    ]
    return f"Gun: {', '.join(told)}; the gun’s plate and the data sheet come first."


def gun_settings(setting: DraftBasis, code: str, coats: Sequence[SprayedCoat]) -> tuple[str, ...]:
    """The set-up for a mix, and that of its drop coat where it has one."""
    drop = gun_words(setting, "base_drop") if any(coat.kind is CoatKind.DROP for coat in coats) else ""
    drop = drop.replace("Gun:", "Drop coat:").replace("; the gun’s plate and the data sheet come first", "")
    return tuple(words for words in (gun_words(setting, code), drop) if words)


def _counted(coats: Sequence[SprayedCoat], count: int) -> tuple[SprayedCoat, ...]:
    """The coats with `count` plain ones: the first again where more are wanted, left out for fewer."""
    plain = [coat for coat in coats if coat.kind not in SPECIAL]
    if len(plain) > count:
        wanted = plain[-count:]
    else:
        more = [replace(plain[0])] * (count - len(plain))
        wanted = [*plain[:1], *more, *plain[1:]] if plain else []
    before = [coat for coat in coats if coat.kind in {CoatKind.THIN, CoatKind.BLEND_BED}]
    return (*before, *wanted, *(coat for coat in coats if coat.kind is CoatKind.DROP))

"""What a stage sprays and fills with: each mix from area, film and transfer, its parts, and the rule of thumb."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from shopbook.trade.catalogue.entries import MixKind
from shopbook.trade.coating.filler import depth_warnings, reckon_filler
from shopbook.trade.coating.film import ready_to_spray_ml, to_thousandths_ml
from shopbook.trade.coating.mixing import MixCard, least_mix, mix_card, say_least
from shopbook.trade.coating.pots import Batch, batches_within, pot_life_minutes, say_batches
from shopbook.trade.measures.ratios import Part, Recipe, recipe_of
from shopbook.trade.planning.building import make_use, with_total
from shopbook.trade.planning.methods import DamageWork
from shopbook.trade.planning.shapes import DraftMix, DraftUse, DraftWarning
from shopbook.trade.planning.spraying import coat_words, coats_laid, gun_settings, timed_coats
from shopbook.trade.planning.work import DraftBasis, PanelWork


@dataclass(frozen=True, slots=True)
class Sprayed:
    """One mix of a stage with the uses that it draws, the gun's cleaning included."""

    mix: DraftMix
    uses: tuple[DraftUse, ...]


@dataclass(frozen=True, slots=True)
class MixNeed:
    """What one mix is to cover: ml of its plain coats without loss, over so many m²."""

    ml: float
    area_m2: float
    coats: int


@dataclass(frozen=True, slots=True)
class Spot:
    """So many m² of one panel to cover, at a transfer efficiency."""

    panel: str
    area_m2: float
    transfer: float


def panel_spot(setting: DraftBasis, panel: PanelWork, share: float = 1.0, inside: float = 0.0) -> Spot:
    """The whole of a panel, or the share of it that a blend covers; `inside` adds the back of a new part."""
    area = panel.panel.area_m2 * (share + inside)
    if share < 1:
        return Spot(panel.code, area, setting.number("transfer_spot"))
    return Spot(panel.code, area, setting.number("transfer_large" if panel.panel.is_flat else "transfer_single"))


def spray(
    setting: DraftBasis,
    code: str,
    spots: Sequence[Spot],
    *,
    coats: int | None = None,
    is_for_build: bool = False,
    repairs: int = 1,
) -> Sprayed:
    """The mix coded `code` over `spots`: need = area × dry film ÷ (solids × transfer), plus cup and gun, rounded up.

    Several mixes are proposed where
    the pot life at the day's temperature is too short for one, each with its own loss.
    """
    kind = setting.catalogue.mixes[code]
    counted = kind.coats if coats is None else coats
    solids = kind.solids_permille / 1000
    film = film_um(kind, counted)
    needs = [(spot.panel, ready_to_spray_ml(spot.area_m2, film, solids, spot.transfer, 0)) for spot in spots]
    need = MixNeed(sum(ml for _, ml in needs), sum(spot.area_m2 for spot in spots), counted)
    recipe = _recipe(setting, kind, is_for_build=is_for_build)
    mix, card = draft_mix(setting, kind, recipe, need, repairs)
    mix = replace(mix, panels=tuple(spot.panel for spot in spots))
    return Sprayed(mix, (*_part_uses(setting, mix, card, needs), _cleaning(setting, code, needs)))


def film_um(kind: MixKind, coats: int) -> float:
    """The dry film in µm of so many plain coats: more or fewer than the catalogue's lay more or less in proportion."""
    return kind.dry_um * coats / kind.coats


def draft_mix(
    setting: DraftBasis, kind: MixKind, recipe: Recipe, need: MixNeed, repairs: int = 1
) -> tuple[DraftMix, MixCard]:
    """A need as it is mixed: in one pot, or as many as its own coats and flashes ask for on the day, and its card."""
    life = _pot_life(setting, kind)
    batches = _batches(setting, kind, need, life)
    mixes = _mixes(kind, recipe, batches)
    card = mix_card(recipe, sum(each.thousandths_ml for each in mixes), step_thousandths=1000)
    laid = coats_laid(setting, kind.code, need.coats)
    thumb = _thumb(kind, need.area_m2, repairs)
    lost = kind.loss_ml * len(mixes)
    words = (
        f"{need.area_m2:.2f} m² at {film_um(kind, need.coats):g} µm dry, {lost} ml for cup and gun.",
        _least_words(kind, recipe, batches),
        _mixes_words(mixes, life),
    )
    mix = DraftMix(
        kind.code,
        kind.name,
        card.total_thousandths_ml // 1000,
        tuple((line.name, line.part_thousandths_ml) for line in card.lines),
        card.ratio,
        len(mixes),
        need.coats,
        (),
        thumb,
        life,
        " ".join(filter(None, words)),
        coat_words(setting, laid, is_water=kind.code.endswith("_water")),
        gun_settings(setting, kind.code, laid),
        tuple(each.thousandths_ml // 1000 for each in mixes) if len(mixes) > 1 else (),
        tuple(each.minutes for each in mixes) if life is not None else (),
        round(need.area_m2 * 10_000),
        to_thousandths_ml(need.ml),
    )
    return mix, card


def filling(
    setting: DraftBasis, panel: str, works: Sequence[DamageWork], *, is_plastic: bool
) -> tuple[tuple[DraftUse, ...], tuple[DraftWarning, ...]]:
    """Filler and hardener for all damages of one panel that are filled, and what is wrong with their depths."""
    role = "plastic_filler" if is_plastic else "filler"
    density = (setting.catalogue.materials[role].density_mg_ml or 1800) / 1000
    step = setting.number("filler_step_g")
    limits = {"warn_mm": setting.number("left_warn_mm"), "most_mm": setting.number("left_most_mm")}
    grams = hardener = 0.0
    reasons: list[str] = []
    warnings: list[DraftWarning] = []
    for work in works:
        need = reckon_filler(
            round(work.areas.damage_m2 * 1e4, 1),
            work.fill_mm,
            setting.conditions.temperature_c,
            feather_cm2=round((work.areas.feather_m2 - work.areas.damage_m2) * 1e4, 1),
            density_g_per_ml=density,
        )
        part = math.ceil(need.filler_g / step - 1e-9) * step
        grams += part
        hardener += part * need.hardener_percent / 100
        reasons.append(need.reason)
        warnings += [_depth_warning(setting, work, sentence) for sentence in depth_warnings(work.fill_mm, **limits)]
    least = 0.0 if is_plastic else setting.number("filler_least_g")
    if grams < least:
        hardener, grams = hardener * least / grams, least
        reasons.append(f"At least {least:g} g: two skins, and less does not mix true.")
    uses = (
        make_use(setting.catalogue, role, [(panel, grams)], " ".join(reasons), mix="filler"),
        make_use(
            setting.catalogue, "filler_hardener", [(panel, hardener)], "by weight, at today's temperature", "filler"
        ),
    )
    return uses, tuple(dict.fromkeys(warnings))


def _depth_warning(setting: DraftBasis, work: DamageWork, sentence: str) -> DraftWarning:
    is_too_deep = work.fill_mm > setting.number("left_most_mm")
    return DraftWarning("filler_too_deep" if is_too_deep else "filler_deep", f"Damage {work.damage.number}: {sentence}")


def _recipe(setting: DraftBasis, kind: MixKind, *, is_for_build: bool) -> Recipe:
    parts: Mapping[str, float] = kind.build_parts if is_for_build and kind.build_parts else kind.parts
    densities = {role: setting.catalogue.materials[role].density_mg_ml for role in parts}
    return recipe_of(
        [
            Part(role, Fraction(ratio).limit_denominator(1000), None if (d := densities[role]) is None else d / 1000)
            for role, ratio in parts.items()
        ]
    )


def _pot_life(setting: DraftBasis, kind: MixKind) -> int | None:
    if kind.pot_life_minutes is None:
        return None
    return pot_life_minutes(kind.pot_life_minutes, setting.conditions.temperature_c)


def _batches(setting: DraftBasis, kind: MixKind, need: MixNeed, life: int | None) -> tuple[Batch, ...]:
    """The need without loss as one mix, or as many as the day's pot life asks for."""
    coats = timed_coats(setting, kind.code, need.coats, need.ml, need.area_m2)
    if life is None:
        return (Batch(tuple(range(1, len(coats) + 1)), sum(coat.thousandths_ml for coat in coats)),)
    return batches_within(coats, life)


def _mixes(kind: MixKind, recipe: Recipe, batches: Sequence[Batch]) -> tuple[Batch, ...]:
    """Each as it is made: its own loss on top, up to a step of the cup, never under what can be measured true."""
    step = kind.step_ml * 1000
    least = least_mix(recipe, step)
    made = [
        mix_card(recipe, each.thousandths_ml + kind.loss_ml * 1000, step_thousandths=step, least_thousandths=least)
        for each in batches
    ]
    return tuple(
        replace(each, thousandths_ml=card.total_thousandths_ml) for each, card in zip(batches, made, strict=True)
    )


def _least_words(kind: MixKind, recipe: Recipe, batches: Sequence[Batch]) -> str:
    wanted = min(each.thousandths_ml for each in batches) + kind.loss_ml * 1000
    return say_least(wanted, least_mix(recipe, kind.step_ml * 1000))


def _mixes_words(mixes: Sequence[Batch], life: int | None) -> str:
    if life is None:
        return ""
    return say_batches(mixes, life) or f"Spray it within {life} min."


def _thumb(kind: MixKind, area_m2: float, repairs: int) -> tuple[int, int] | None:
    if not kind.thumb_ml:
        return None
    scale = repairs if kind.is_thumb_by_repair else area_m2
    low, high = kind.thumb_ml
    return round(low * scale), round(high * scale)


def _part_uses(
    setting: DraftBasis, mix: DraftMix, card: MixCard, needs: Sequence[tuple[str, float]]
) -> tuple[DraftUse, ...]:
    weights = [max(1, round(ml * 1000)) for _, ml in needs]
    whole = sum(weights)
    uses = []
    for line in card.lines:
        part = line.part_thousandths_ml
        shared = [(panel, part * weight / whole / 1000) for (panel, _), weight in zip(needs, weights, strict=True)]
        uses.append(with_total(make_use(setting.catalogue, line.name, shared, mix.reason, mix.code), part))
    return tuple(uses)


def _cleaning(setting: DraftBasis, code: str, needs: Sequence[tuple[str, float]]) -> DraftUse:
    ml = setting.number("gun_clean_ml")
    panels = [(panel, ml / len(needs)) for panel, _ in needs]
    role = "gun_cleaner_water" if code.endswith("_water") else "gun_thinner"
    why = f"to clean the gun once after {setting.catalogue.mixes[code].name.lower()}"
    return make_use(setting.catalogue, role, panels, why)

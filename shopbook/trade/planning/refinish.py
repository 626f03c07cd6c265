"""The paint side of a draft: prime and block the repairs, then prepare, mask, base and clear all panels in one go."""

import math
from collections.abc import Sequence
from dataclasses import replace

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.coating.abrasives import coat_warning
from shopbook.trade.coating.gun import hides_weakly
from shopbook.trade.planning.building import Load, make_use
from shopbook.trade.planning.clear_stop import clear_m2, clear_spot
from shopbook.trade.planning.coat_rows import clear_waits, session_flash, surfacer_wait
from shopbook.trade.planning.methods import DamageWork, Method, reasons_of
from shopbook.trade.planning.mixes import Spot, Sprayed, panel_spot, spray
from shopbook.trade.planning.particulars import seam_sealer, stone_guard
from shopbook.trade.planning.shapes import Coat, Crossing, DraftUse, DraftWarning, Finish
from shopbook.trade.planning.sheet import Places, Sheet
from shopbook.trade.planning.spraying import coats_laid, first_words, is_water_borne, last_words, own_kind
from shopbook.trade.planning.undercoats import first_primer, spot
from shopbook.trade.planning.work import FLAKED, DraftBasis, PanelWork


def prime_and_block(sheet: Sheet, after: Places) -> Places:
    """Sands failing clear off, primes what was laid bare or filled, and blocks it, all panels in one go."""
    after = _sand_clear(sheet, after)
    primed = [panel for panel in sheet.setting.painted if panel.primed]
    if not primed:
        return after
    loads = [_area_load(panel, panel.primer_m2, works=panel.primed) for panel in primed]
    first = first_primer(sheet, primed)
    surfacer = _surfacer(sheet, primed)
    is_filled = any(work.fill_mm > 0 for panel in primed for work in panel.primed)
    wait, offered = surfacer_wait(surfacer.mix.coats, is_filled=is_filled)
    coats = f"{{primer}}, {surfacer.mix.coats} coats, each a little wider than the last"
    special = first_words(coats_laid(sheet.setting, "surfacer", surfacer.mix.coats))
    steps = [*first.steps, *(f"{{primer}}: {words}" for words in special), coats, "clean the gun"]
    after = sheet.add(
        StageCode.PRIME, primed, after, loads=loads, steps=steps, sprayed=[*first.sprayed, surfacer],
        reasons=[*first.why, *offered], lays=(Coat.PRIMER,), wait=wait, waits_inside=first.inside,
    )  # fmt: skip
    why = ["no guide coat may be left, high or low"]
    before_colour = [*seam_sealer(sheet.setting, primed), *stone_guard(sheet.setting, primed)]
    after = sheet.add(StageCode.BLOCK, primed, after, loads=loads, reasons=why, uses=before_colour)
    _warn_coarse(sheet, StageCode.FILL if is_filled else StageCode.STRIP, "surfacer", after)
    return after


def prime_new_part(sheet: Sheet, part: PanelWork, after: Places) -> Places:
    """Scuffs and seals a new part on both sides."""
    share = sheet.setting.number("part_inside_share")
    sealer = spray(sheet.setting, "sealer", [panel_spot(sheet.setting, part, inside=share)])
    load = Load(part.code, area_m2=part.panel.area_m2 * (1 + share))
    return sheet.add(StageCode.PRIME_PART, [part], after, loads=[load], sprayed=[sealer], lays=(Coat.PRIMER,))


def colour_and_clear(sheet: Sheet, after: Places) -> Places:
    """From preparing the old clear to polish: one session of base and clear over every painted and blended panel."""
    setting, finished = sheet.setting, sheet.setting.finished
    loads = [_area_load(panel, clear_m2(setting, panel)) for panel in finished]
    after = _prepare_clear(sheet, after)
    after = _check_colour(sheet, after)
    extra = ["degrease again and change the cloth each time: silicone"] if setting.car.is_silicone_suspected else []
    after = sheet.add(StageCode.MASK, finished, after, loads=loads, steps=extra)
    after = base_and_clear(sheet, _seal(sheet, after))
    after = sheet.add(StageCode.UNMASK, finished, after, loads=[Load(panel.code) for panel in finished], wait="")
    if setting.car.finish is Finish.MATT:
        return after
    return sheet.add(StageCode.POLISH, finished, after, loads=loads)


def _prepare_clear(sheet: Sheet, after: Places) -> Places:
    """Keys the panels that are not keyed yet."""
    setting = sheet.setting
    left = _to_key(setting)
    if not left:
        return after
    keyed = [replace(_area_load(p, clear_m2(setting, p)), grits=_key_grits(sheet, p)) for p in left]
    marks = [work for panel in left if panel.is_painted for work in panel.works_by(Method.SAND_IN)]
    why = reasons_of(marks)
    if setting.blended:
        why.insert(0, "next panels are scuffed all over: {colour} fades out in them, {clear} goes to their edges")
    places = sheet.add(StageCode.CLEAR_PREP, left, after, loads=keyed, reasons=why)
    return sheet.warn_of(marks, places)


def _to_key(setting: DraftBasis) -> list[PanelWork]:
    """What was not sanded back already, nor scuffed and sealed as a new part: a panel is keyed once."""
    is_sealed = setting.is_on(StageCode.PRIME_PART)
    return [p for p in setting.finished if not p.works_by(Method.SAND_CLEAR) and not (p.is_new and is_sealed)]


def _sand_clear(sheet: Sheet, after: Places) -> Places:
    faded = [panel for panel in sheet.setting.painted if panel.works_by(Method.SAND_CLEAR)]
    if not faded:
        return after
    also = (Method.SAND_CLEAR, Method.SAND_IN)
    loads = [Load(panel.code, panel.works_by(*also), clear_m2(sheet.setting, panel)) for panel in faded]
    works = [work for load in loads for work in load.works]
    places = sheet.add(StageCode.SAND_BACK, faded, after, loads=loads, reasons=reasons_of(works))
    return sheet.warn_of(works, places)


def _surfacer(sheet: Sheet, primed: Sequence[PanelWork]) -> Sprayed:
    choices = sheet.setting.choices
    repairs = sum(len(panel.primed) for panel in primed)
    return spray(
        sheet.setting,
        "surfacer",
        [spot(sheet, panel, panel.primer_m2) for panel in primed],
        coats=choices.surfacer_coats,
        is_for_build=choices.is_surfacer_for_build,
        repairs=repairs,
    )


def _seal(sheet: Sheet, after: Places) -> Places:
    setting = sheet.setting
    is_weak = hides_weakly(setting.car.hue)
    faded = [p for p in setting.painted if any(w.method is Method.SAND_CLEAR for w in p.works)]
    panels = list(setting.painted) if is_weak else faded
    if not panels:
        return after
    mix = spray(
        setting, own_kind(setting, "ground") if is_weak else "sealer", [panel_spot(setting, panel) for panel in panels]
    )
    why = (
        "this {colour} hides poorly: put an even ground coat of its own shade under it"
        if is_weak
        else "sanded-through paint is sealed off first"
    )
    loads = [_area_load(panel, panel.panel.area_m2) for panel in panels]
    return sheet.add(StageCode.SEAL, panels, after, loads=loads, sprayed=[mix], reasons=[why], lays=(Coat.PRIMER,))


def base_and_clear(sheet: Sheet, after: Places) -> Places:
    """One session of colour and clear over every panel that is finished, with its mixes."""
    setting = sheet.setting
    finish = setting.car.finish
    base = [panel_spot(setting, p, inside=setting.inside_share(p)) for p in setting.painted]
    base += [panel_spot(setting, p, setting.number("blend_share")) for p in setting.blended]
    clear = [clear_spot(setting, panel) for panel in setting.finished]
    coats = _base_coats(sheet)
    mixes = [spray(setting, own_kind(setting, "base_solvent"), base, coats=coats)]
    if finish is Finish.THREE_STAGE:
        mixes.append(spray(setting, own_kind(setting, "midcoat"), _mid_spots(setting)))
    clear_code = "clear_matt" if finish is Finish.MATT else "clear_medium"
    mixes.append(spray(setting, clear_code, clear, coats=setting.choices.clear_coats))
    factors = frozenset({"many_coats"}) if finish in {Finish.PEARL, Finish.THREE_STAGE} else frozenset()
    loads = [_area_load(p, p.panel.area_m2 * (1 + setting.inside_share(p)), factors) for p in setting.finished]
    places = sheet.add(
        StageCode.BASE_CLEAR, setting.finished, after, loads=loads, sprayed=mixes,
        fixed_more=_more_minutes(sheet, mixes), steps=_session_steps(sheet, mixes), reasons=_session_reasons(sheet),
        uses=_blend_bed(sheet, base), waits_inside=_waits_inside(setting), lays=(Coat.BASE, Coat.CLEAR),
        more_waits=clear_waits(setting), flash_minutes=session_flash(setting),
    )  # fmt: skip
    _warn_coarse(sheet, StageCode.BLOCK, "base_metallic" if finish in FLAKED else "base_solid", places)
    _warn_coarse(sheet, StageCode.CLEAR_PREP, "clear", places)
    return places


def _mid_spots(setting: DraftBasis) -> list[Spot]:
    """Mid coats over the painted panels, and further out into the next ones than the base: each ends past the last."""
    painted = [panel_spot(setting, p, inside=setting.inside_share(p)) for p in setting.painted]
    return [*painted, *(panel_spot(setting, p, setting.number("mid_blend_share")) for p in setting.blended)]


def _blend_bed(sheet: Sheet, base: Sequence[Spot]) -> list[DraftUse]:
    """The wet bed under a blend's edge in the next panels."""
    blended = {panel.code for panel in sheet.setting.blended}
    each = sheet.setting.number("blend_bed_ml_m2")
    step = sheet.setting.catalogue.mixes[own_kind(sheet.setting, "base_solvent")].step_ml
    needs = [(s.panel, math.ceil(s.area_m2 * each / step) * step) for s in base if s.panel in blended]
    why = "wet under the edge of the blend"
    return [make_use(sheet.setting.catalogue, "base_blender", needs, why)] if needs else []


def _waits_inside(setting: DraftBasis) -> list[str]:
    """The waits of the session as the shop has them, waterborne base by its own."""
    usual = setting.catalogue.stages[StageCode.BASE_CLEAR].waits_inside
    own = ["base_flash_water" if code == "base_flash" and is_water_borne(setting) else code for code in usual]
    return [*own, "base_sand", "clear_between"]


def _base_coats(sheet: Sheet) -> int:
    if sheet.setting.choices.base_coats is not None:
        return sheet.setting.choices.base_coats
    return sheet.setting.catalogue.mixes[own_kind(sheet.setting, "base_solvent")].coats + (
        1 if hides_weakly(sheet.setting.car.hue) else 0
    )


def _more_minutes(sheet: Sheet, mixes: Sequence[Sprayed]) -> int:
    """Minutes for coats beyond the usual number, and for losing a metallic's edge in the next panels."""
    setting = sheet.setting
    extra = sum(each.mix.coats - setting.catalogue.mixes[each.mix.code].coats for each in mixes)
    more = round(extra * setting.number("extra_coat_minutes"))
    if setting.blended and setting.car.finish in FLAKED:
        more += round(setting.number("metallic_blend_minutes"))
    return more


def _session_steps(sheet: Sheet, mixes: Sequence[Sprayed]) -> list[str]:
    setting = sheet.setting
    base, clear = mixes[0].mix, mixes[-1].mix
    middle = [each.mix for each in mixes if each.mix.code.startswith("midcoat")]
    steps = [
        *(f"base: {words}" for words in first_words(coats_laid(setting, base.code, base.coats))),
        f"base, {base.coats} coats",
        *(f"base: {words}" for words in last_words(coats_laid(setting, base.code, base.coats))),
        "leave the base until it is dull",
    ]
    for mix in middle:
        steps += [f"mid coat, {mix.coats} coats, as on the card you chose", "leave it until it is dull"]
    last, again = ("{matt} {clear}", "") if setting.car.finish is Finish.MATT else ("{clear}", ", 5 to 10 min between")
    return [
        *steps,
        *(f"{{clear}}: {words}" for words in first_words(coats_laid(setting, clear.code, clear.coats))),
        f"{last}, {clear.coats} coats{again}",
        "clean the gun",
    ]


def _session_reasons(sheet: Sheet) -> list[str]:
    setting = sheet.setting
    found = []
    if setting.blended:
        found.append("{colour} fades out in the next panels and {clear} covers them whole, so no edge shows")
    if setting.blended and setting.car.finish in FLAKED:
        found.append(
            "the {colour} edge is lost in the next panel, each mid coat a little further out than the last"
            if setting.car.finish is Finish.THREE_STAGE
            else "the flake must lie the same on both sides of a gap: take time for the drop coat"
        )
    if hides_weakly(setting.car.hue):
        found.append("a {colour} that hides poorly takes one more coat")
    return found


def _key_grits(sheet: Sheet, panel: PanelWork) -> tuple[int, ...]:
    """Coarser under base, finer under clear alone: the first of the stage's grades, or the last."""
    grits = sheet.setting.catalogue.stages[StageCode.CLEAR_PREP].grits
    return grits[-1:] if panel.is_blended_into else grits[:1]


def _check_colour(sheet: Sheet, after: Places) -> Places:
    """The colour held against the car; under a three-stage with a let-down panel, sprayed and dried before."""
    if sheet.setting.car.finish is not Finish.THREE_STAGE:
        return sheet.add(StageCode.COLOUR, (), after)
    return sheet.add(
        StageCode.COLOUR, (), after, fixed_more=round(sheet.setting.number("let_down_minutes")),
        reasons=["three-stage: a let-down panel with one to four mid coats is sprayed, dried and compared first"],
        waits_inside=["let_down_dry"],
    )  # fmt: skip


def _warn_coarse(sheet: Sheet, stage: str, coat: str, places: Places) -> None:
    grits = sheet.setting.catalogue.stages[stage].grits if stage in sheet.setting.catalogue.stages else ()
    sentence = coat_warning(grits[-1], coat) if grits else None
    if sentence:
        sheet.warn([DraftWarning("coarse_under_coat", sentence)], places)


def _area_load(
    panel: PanelWork, area_m2: float, factors: frozenset[str] = frozenset(), works: tuple[DamageWork, ...] | None = None
) -> Load:
    on_line = any(Crossing.LINE in work.damage.crosses for work in panel.primed)
    more = frozenset({"line_panel"}) if on_line else frozenset()
    return Load(panel.code, panel.works if works is None else works, area_m2, factors=factors | more)

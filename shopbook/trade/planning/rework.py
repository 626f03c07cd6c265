"""What mends a trouble or a passed window, drafted like any other work: its hours, mixes, papers and waits by panel."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import MeasuredBy, Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.coating.paints import Finish
from shopbook.trade.planning.building import Load
from shopbook.trade.planning.coat_rows import clear_waits
from shopbook.trade.planning.mixes import Spot, Sprayed, filling, panel_spot, spray
from shopbook.trade.planning.refinish import base_and_clear
from shopbook.trade.planning.shapes import Car, Choices, Coat, Conditions, DraftDamage, DraftStage, DraftUse
from shopbook.trade.planning.sheet import Places, Sheet
from shopbook.trade.planning.spraying import is_water_borne, own_kind
from shopbook.trade.planning.work import DraftBasis, PanelWork, plan_panels

GROUND = frozenset({StageCode.STRIP_OLD, StageCode.FILL, StageCode.PRIME, StageCode.BLOCK})
"""What is done where paint was repaired, not in the next panels that the colour only fades out in."""


def draft_rework(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[DraftDamage],
    conditions: Conditions,
    choices: Choices,
    *,
    panels: Sequence[str],
    codes: Sequence[str],
) -> tuple[DraftStage, ...]:
    """The stages coded `codes` over `panels`, one behind another, with what each of them sprays, fills and sands.

    Without any panel named it goes over all that the plan finishes, and where it finishes none only the hours are
    drafted. A stage that the shop usually leaves out is needed here all the same.
    """
    codes = [code for code in codes if code in catalogue.stages]
    works = _covered(catalogue, plan_panels(catalogue, damages, choices), panels)
    kinds = {**catalogue.stages, **{code: replace(catalogue.stages[code], is_on=True) for code in codes}}
    settled = replace(choices, left_out=choices.left_out - set(codes))
    sheet = Sheet(DraftBasis(replace(catalogue, stages=kinds), car, conditions, settled, works))
    after: Places = ()
    for code in codes:
        after = (_WRITERS.get(code, _plain) if works else _plain)(sheet, code, after, codes)
    return tuple(sheet.stages)


def _covered(catalogue: Catalogue, planned: Sequence[PanelWork], panels: Sequence[str]) -> tuple[PanelWork, ...]:
    """A panel as the plan covers it (a blended neighbour in part); one that the plan does not know is covered whole."""
    known = {work.code: work for work in planned}
    refinished = {code: work for code, work in known.items() if work.is_refinished}
    asked = [code for code in dict.fromkeys(panels) if code in catalogue.panels]
    return tuple(refinished.get(code) or _whole(catalogue, known, code) for code in asked or refinished)


def _whole(catalogue: Catalogue, known: dict[str, PanelWork], code: str) -> PanelWork:
    panel = catalogue.panels[code]
    return PanelWork(panel, known[code].substrate if code in known else panel.substrate, is_painted=True)


def _plain(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    wait = "" if code == StageCode.UNMASK else None
    return sheet.add(code, _panels(sheet, code), after, loads=_loads(sheet, code), wait=wait)


def _panels(sheet: Sheet, code: str) -> tuple[PanelWork, ...]:
    setting = sheet.setting
    return (setting.painted or setting.finished) if code in GROUND else setting.finished


def _loads(sheet: Sheet, code: str) -> list[Load]:
    kind = sheet.setting.catalogue.stages[code]
    if kind.measured_by is MeasuredBy.PRIMER:
        return [Load(panel.code, panel.primed, _primer_m2(panel)) for panel in _panels(sheet, code)]
    if kind.measured_by is MeasuredBy.PANEL:
        return [Load(panel.code, area_m2=panel.panel.area_m2) for panel in _panels(sheet, code)]
    return [
        Load(panel.code, panel.primed, panel.panel.area_m2, own_minutes=0 if panel.primed else kind.damage_minutes)
        for panel in _panels(sheet, code)
    ]


def _primer_m2(panel: PanelWork) -> float:
    return panel.primer_m2 or panel.panel.area_m2


def _fill(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    uses: list[DraftUse] = []
    for panel in _panels(sheet, code):
        filled = [work for work in panel.works if work.fill_mm > 0]
        if filled:
            found, _ = filling(sheet.setting, panel.code, filled, is_plastic=panel.substrate is Substrate.PLASTIC)
            uses += found
    return sheet.add(code, _panels(sheet, code), after, loads=_loads(sheet, code), uses=uses, lays=(Coat.FILLER,))


def _prime(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    setting, panels = sheet.setting, _panels(sheet, code)
    first, inside = _under_surfacer(sheet, panels) if StageCode.STRIP_OLD in codes else ([], [])
    spots = [_spot(sheet, panel, _primer_m2(panel)) for panel in panels]
    surfacer = spray(
        setting,
        "surfacer",
        spots,
        coats=setting.choices.surfacer_coats,
        is_for_build=setting.choices.is_surfacer_for_build,
        repairs=max(1, sum(len(panel.primed) for panel in panels)),
    )
    return sheet.add(
        code,
        panels,
        after,
        loads=_loads(sheet, code),
        sprayed=[*first, surfacer],
        lays=(Coat.PRIMER,),
        wait="surfacer_overnight" if StageCode.FILL in codes else None,
        waits_inside=inside,
    )


def _under_surfacer(sheet: Sheet, panels: Sequence[PanelWork]) -> tuple[list[Sprayed], list[str]]:
    """What goes on ground that was stripped once more, where filler may lie: epoxy on metal, promoter on plastic."""
    sprayed, inside = [], []
    for code, is_plastic in (("epoxy", False), ("promoter", True)):
        bare = [panel for panel in panels if (panel.substrate is Substrate.PLASTIC) is is_plastic]
        if bare:
            spots = [_spot(sheet, panel, panel.feather_m2 or panel.panel.area_m2) for panel in bare]
            sprayed.append(spray(sheet.setting, code, spots))
            inside.append(f"{code}_flash")
    return sprayed, inside


def _spot(sheet: Sheet, panel: PanelWork, area_m2: float) -> Spot:
    return Spot(panel.code, area_m2, sheet.setting.number("transfer_spot"))


def _session(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    return base_and_clear(sheet, after)


def _base_again(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    """One thin coat of base over what was scuffed; in the next panels as far as the colour fades out."""
    setting = sheet.setting
    share = setting.number("blend_share")
    spots = [panel_spot(setting, p, share if p.is_blended_into else 1.0) for p in setting.finished]
    base = _one_coat(setting, own_kind(setting, "base_solvent"), spots)
    flash = "base_flash_water" if is_water_borne(setting) else "base_flash"
    return sheet.add(
        code,
        setting.finished,
        after,
        loads=_loads(sheet, code),
        sprayed=[base],
        lays=(Coat.BASE,),
        wait=flash,
        more_waits=("base_sand",),
    )


def _clear_again(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    """One wet coat of clear over the whole of every panel, and the time until it can be unmasked."""
    setting = sheet.setting
    clear = "clear_matt" if setting.car.finish is Finish.MATT else "clear_medium"
    mix = _one_coat(setting, clear, [panel_spot(setting, panel) for panel in setting.finished])
    wait = setting.catalogue.stages[StageCode.BASE_CLEAR].wait
    loads = _loads(sheet, code)
    return sheet.add(
        code,
        setting.finished,
        after,
        loads=loads,
        sprayed=[mix],
        lays=(Coat.CLEAR,),
        wait=wait,
        more_waits=clear_waits(setting),
    )


def _clear_over(sheet: Sheet, code: str, after: Places, codes: Sequence[str]) -> Places:
    """The clear of a whole session over base that was laid again."""
    setting = sheet.setting
    clear = "clear_matt" if setting.car.finish is Finish.MATT else "clear_medium"
    mix = spray(
        setting,
        clear,
        [panel_spot(setting, panel) for panel in setting.finished],
        coats=setting.choices.clear_coats,
    )
    loads = _loads(sheet, code)
    return sheet.add(
        code,
        setting.finished,
        after,
        loads=loads,
        sprayed=[mix],
        lays=(Coat.CLEAR,),
        more_waits=clear_waits(setting),
    )


def _one_coat(setting: DraftBasis, code: str, spots: Sequence[Spot]) -> Sprayed:
    """One coat alone: neither the rule of thumb nor the order of coats of a first session is said of it."""
    made = spray(setting, code, spots, coats=1)
    return replace(made, mix=replace(made.mix, thumb_ml=None, laid=()))


_Writer = Callable[[Sheet, str, Places, Sequence[str]], Places]
_WRITERS: dict[str, _Writer] = {
    StageCode.FILL: _fill,
    StageCode.PRIME: _prime,
    StageCode.BASE_CLEAR: _session,
    StageCode.SCUFF_BASE: _base_again,
    StageCode.SCUFF_CLEAR: _clear_again,
    StageCode.CLEAR_OVER: _clear_over,
}
"""The stages that lay or fill something; every other is drafted from its kind alone."""

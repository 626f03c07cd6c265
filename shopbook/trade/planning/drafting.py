"""Drafts the whole plan: the stages of the trade in order, shared where damages and panels share them."""

from collections.abc import Sequence
from dataclasses import replace

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.body import polish_out, take_trim_off, trim_loads, work_panel
from shopbook.trade.planning.building import AID_PLACES, Load
from shopbook.trade.planning.checking import check_inputs
from shopbook.trade.planning.particulars import is_waxed
from shopbook.trade.planning.plan_warnings import compare_sentence, deeply_filled, warn_of_products
from shopbook.trade.planning.refinish import colour_and_clear, prime_and_block, prime_new_part
from shopbook.trade.planning.shapes import Car, Choices, Conditions, DraftDamage, DraftPlan, DraftWarning
from shopbook.trade.planning.sheet import Places, Sheet
from shopbook.trade.planning.work import DraftBasis, PanelWork, plan_panels, touching


def draft_plan(
    catalogue: Catalogue,
    car: Car,
    damages: Sequence[DraftDamage],
    conditions: Conditions,
    choices: Choices | None = None,
) -> DraftPlan:
    """The plan for all `damages` of one car on a day like `conditions`: stages, materials, waits, warnings, reasons.

    Pure and deterministic. Raises RuleBroken with a sentence where something given cannot be.
    """
    settled = choices or Choices()
    check_inputs(catalogue, damages, conditions, settled)
    setting = DraftBasis(catalogue, car, conditions, settled, plan_panels(catalogue, damages, settled))
    sheet = Sheet(setting)
    for panel in deeply_filled(setting):
        sheet.warn([_compare_first(setting, panel)])
    _whole_repair(sheet)
    finish_off(sheet)
    return DraftPlan(tuple(sheet.stages), tuple(sheet.warnings), tuple(map(setting.say, _shared(setting))))


def _whole_repair(sheet: Sheet) -> None:
    after = sheet.add(StageCode.CHECK_IN, (), (), reasons=sheet.setting.car.earlier)
    _repair(sheet, take_trim_off(sheet, after))


def _compare_first(setting: DraftBasis, panel: PanelWork) -> DraftWarning:
    """Both wholes for one panel in hours, before anyone asks: its damages repaired alone, and a new part."""
    own = Sheet(replace(setting, panels=_alone(setting, panel)))
    _whole_repair(own)
    finish_off(own)
    fresh = _replacement(setting, panel.code, _blended_into(setting, panel))
    repaired, renewed = (sum(stage.minutes for stage in sheet.stages) / 60 for sheet in (own, fresh))
    return compare_sentence(setting, panel, repaired, renewed)


def _alone(setting: DraftBasis, panel: PanelWork) -> tuple[PanelWork, ...]:
    beside = {each.code for each in _blended_into(setting, panel)}
    return (panel, *(each for each in setting.blended if each.code in beside))


def _blended_into(setting: DraftBasis, panel: PanelWork) -> tuple[PanelWork, ...]:
    near = touching(setting.catalogue, panel.code)
    return tuple(each for each in setting.blended if each.code in near)


def draft_replacement(
    catalogue: Catalogue, car: Car, panel: str, conditions: Conditions, choices: Choices, *, is_blended: bool
) -> DraftPlan:
    """The plan for a new part in place of one panel: fit, prime and paint both sides, blend where asked."""
    entry = catalogue.panels[panel]
    blended = tuple(
        PanelWork(catalogue.panels[code], catalogue.panels[code].substrate, is_blended_into=True)
        for code in entry.neighbours
        if is_blended and code in catalogue.panels
    )
    sheet = _replacement(DraftBasis(catalogue, car, conditions, choices, ()), panel, blended)
    return DraftPlan(tuple(sheet.stages), tuple(sheet.warnings), ())


def _replacement(setting: DraftBasis, code: str, blended: tuple[PanelWork, ...]) -> Sheet:
    entry = setting.catalogue.panels[code]
    part = PanelWork(entry, entry.substrate, is_painted=True, is_new=True)
    bare = tuple(replace(panel, works=()) for panel in blended)
    sheet = Sheet(replace(setting, panels=(part, *bare)))
    after = sheet.add(StageCode.CHECK_IN, (), ())
    after = take_trim_off(sheet, after)
    after = sheet.add(StageCode.FIT_PART, [part], after, loads=[Load(code, own_minutes=entry.fit_minutes)])
    colour_and_clear(sheet, prime_new_part(sheet, part, after))
    finish_off(sheet)
    return sheet


def finish_off(sheet: Sheet) -> None:
    """Wax, refit, calibration, hand-over, then the warnings of the whole."""
    setting = sheet.setting
    after = _wax(sheet, sheet.open_ends())
    loads = trim_loads(sheet, is_off=False)
    if loads:
        after = sheet.add(StageCode.REFIT, setting.panels, after, loads=loads)
    aided = [panel for panel in setting.panels if set(panel.panel.carries) & AID_PLACES and panel.is_refinished]
    if setting.car.has_driver_aids and aided:
        reasons = ["sensors or cameras were removed or painted over: qualified people decide"]
        after = sheet.add(
            StageCode.CALIBRATION, aided, after, loads=[Load(panel.code) for panel in aided], reasons=reasons
        )
    sheet.add(StageCode.HAND_OVER, (), after)
    warn_of_products(sheet)


def _repair(sheet: Sheet, after: Places) -> None:
    setting = sheet.setting
    ready: Places = ()
    for panel in setting.panels:
        done = work_panel(sheet, panel, after)
        if panel.is_refinished:
            ready += tuple(place for place in done if place not in (*ready, *after))
        else:
            polish_out(sheet, panel, done)
    if setting.painted:
        colour_and_clear(sheet, prime_and_block(sheet, ready or after))


def _wax(sheet: Sheet, after: Places) -> Places:
    waxed = [panel for panel in sheet.setting.painted if is_waxed(panel)]
    if not waxed:
        return after
    reasons = ["bare or heated metal rusts first at the back"]
    return sheet.add(StageCode.WAX, waxed, after, loads=[Load(panel.code) for panel in waxed], reasons=reasons)


def _shared(setting: DraftBasis) -> list[str]:
    found = []
    for panel in setting.painted:
        numbers = [str(work.damage.number) for work in panel.works if work in panel.primed]
        if len(numbers) > 1:
            listed = f"{', '.join(numbers[:-1])} and {numbers[-1]}"
            found.append(f"Damages {listed} are on one panel and share primer, sanding, {{colour}} and {{clear}}.")
    if len(setting.finished) > 1:
        share = setting.catalogue.stages[StageCode.BASE_CLEAR].next_panel_permille // 10
        found.append(
            f"{len(setting.finished)} panels share mixes, masking, {{colour}} check and gun cleaning; "
            f"each panel after the first counts {share} % of its own paint time."
        )
    if sum(1 for panel in setting.panels if panel.works) > 1:
        found.append("All panels share one check-in and one hand-over.")
    return found

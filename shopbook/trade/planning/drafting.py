"""Drafts the whole plan: the stages of the trade in order, shared where damages and panels share them."""

from collections.abc import Sequence

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.body import polish_out, take_trim_off, trim_loads, work_panel
from shopbook.trade.planning.building import AID_PLACES, Load
from shopbook.trade.planning.checking import check_inputs
from shopbook.trade.planning.particulars import is_waxed
from shopbook.trade.planning.plan_warnings import warn_of_products
from shopbook.trade.planning.refinish import colour_and_clear, prime_and_block, prime_new_part
from shopbook.trade.planning.shapes import Car, Choices, Conditions, DraftDamage, DraftPlan
from shopbook.trade.planning.sheet import Places, Sheet
from shopbook.trade.planning.work import DraftBasis, PanelWork, plan_panels


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
    after = sheet.add(StageCode.CHECK_IN, (), ())
    after = take_trim_off(sheet, after)
    _repair(sheet, after)
    finish_off(sheet)
    return DraftPlan(tuple(sheet.stages), tuple(sheet.warnings), tuple(_shared(setting)))


def draft_replacement(
    catalogue: Catalogue, car: Car, panel: str, conditions: Conditions, choices: Choices, *, is_blended: bool
) -> DraftPlan:
    """The plan for a new part in place of one panel: fit, prime and paint both sides, blend where asked."""
    entry = catalogue.panels[panel]
    part = PanelWork(entry, entry.substrate, is_painted=True, is_new=True)
    blended = tuple(
        PanelWork(catalogue.panels[code], catalogue.panels[code].substrate, is_blended_into=True)
        for code in entry.neighbours
        if is_blended and code in catalogue.panels
    )
    sheet = Sheet(DraftBasis(catalogue, car, conditions, choices, (part, *blended)))
    after = sheet.add(StageCode.CHECK_IN, (), ())
    after = take_trim_off(sheet, after)
    after = sheet.add(StageCode.FIT_PART, [part], after, loads=[Load(panel, own_minutes=entry.fit_minutes)])
    colour_and_clear(sheet, prime_new_part(sheet, part, after))
    finish_off(sheet)
    return DraftPlan(tuple(sheet.stages), tuple(sheet.warnings), ())


def finish_off(sheet: Sheet) -> None:
    """Wax, refit, calibration, hand-over, then the warnings of the whole."""
    setting = sheet.setting
    after = _wax(sheet, sheet.open_ends())
    loads = trim_loads(sheet, is_off=False)
    if loads:
        after = sheet.add(StageCode.REFIT, setting.panels, after, loads=loads)
    aided = [panel for panel in setting.panels if set(panel.panel.carries) & AID_PLACES and panel.is_refinished]
    if setting.car.has_driver_aids and aided:
        reasons = ["sensors or cameras were taken off or painted over: qualified people decide"]
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
    reasons = ["bare or heated metal behind rusts first"]
    return sheet.add(StageCode.WAX, waxed, after, loads=[Load(panel.code) for panel in waxed], reasons=reasons)


def _shared(setting: DraftBasis) -> list[str]:
    found = []
    for panel in setting.painted:
        numbers = [str(work.damage.number) for work in panel.works if work in panel.primed]
        if len(numbers) > 1:
            listed = f"{', '.join(numbers[:-1])} and {numbers[-1]}"
            found.append(f"Damages {listed} are on one panel and share its primer, block, colour and clear.")
    if len(setting.finished) > 1:
        share = setting.catalogue.stages[StageCode.BASE_CLEAR].next_panel_permille // 10
        found.append(
            f"{len(setting.finished)} panels share their mixes, one masking, one colour check and the gun's cleanings; "
            f"each after the first counts {share} % of its own paint time."
        )
    if sum(1 for panel in setting.panels if panel.works) > 1:
        found.append("One check-in and one hand-over serve all panels.")
    return found

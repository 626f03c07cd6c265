"""The body side of a draft: trim off, then for each panel pushed, pulled, ground, mended, stripped and filled."""

from collections.abc import Sequence

from shopbook.trade.catalogue.kinds import Access, Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.areas import access_of
from shopbook.trade.planning.building import Load
from shopbook.trade.planning.methods import DamageWork, Method
from shopbook.trade.planning.mixes import filling, spray
from shopbook.trade.planning.papers import alloy_grits
from shopbook.trade.planning.particulars import promoted_uses
from shopbook.trade.planning.shapes import Coat, DamageKind
from shopbook.trade.planning.sheet import Places, Sheet
from shopbook.trade.planning.small_dents import dents_minutes
from shopbook.trade.planning.undercoats import is_epoxied, spot
from shopbook.trade.planning.work import PanelWork

STRIPPED = "filler and primer stick to metal, and a paint edge that is not feathered shows through later"

PULLED = "pull the metal first, fill only what is left"

PLASTIC_FILLER_GRITS = (180,)
"""Filler for plastic is shaped without the coarse paper, which tears the plastic around it; common practice."""

PLASTIC_STEPS = {
    DamageKind.CRACK: "drill the end of the crack, bevel it, back it with mesh and bond it",
    DamageKind.DENT: "warm it evenly, press it back, let it cool",
    DamageKind.BAD_REPAIR: "sand the old repair to sound plastic",
}
"""What the damage adds to cleaning; anything else is sanded."""

SANDS_METAL = frozenset(
    {StageCode.PULL, StageCode.CUT_RUST, StageCode.STRIP, StageCode.STRIP_OLD, StageCode.FILL, StageCode.FEATHER}
)
"""Stages whose paper reaches the metal."""

BEHIND_SMALL_DENTS = {
    "roof": "lower the {headlining}",
    "bonnet": "take off the {bonnet_liner}",
}
"""What comes away so that a tool reaches every small dent of a panel; common practice."""

FIRST_STAGE = {
    Method.GRIND: StageCode.CUT_RUST,
    Method.MEND_PLASTIC: StageCode.PLASTIC_MEND,
    Method.STRIP_OLD: StageCode.STRIP_OLD,
}
"""What a method begins with, before pulling and filling."""

CURED = "paint sinks for as long as solvent leaves it, and whatever is done before that sinks again"
"""Why paint that died back is cured before anything else."""


def take_trim_off(sheet: Sheet, after: Places) -> Places:
    """Trim off the panels that are painted, half of it off those blended into, and off those pushed from behind."""
    loads = trim_loads(sheet, is_off=True)
    if not loads:
        return after
    why = [
        "paint has to run under trim and lamps, since tape lines around them show"
        if sheet.setting.painted
        else "lining behind the dents comes out, so that a tool reaches them"
    ]
    trimmed = [panel for panel in sheet.setting.panels if _trim_share(sheet, panel) > 0]
    steps = [
        BEHIND_SMALL_DENTS[panel.code] for panel in trimmed if panel.code in BEHIND_SMALL_DENTS and _is_many(panel)
    ]
    return sheet.add(StageCode.TRIM_OFF, trimmed, after, loads=loads, steps=steps, reasons=why)


def trim_loads(sheet: Sheet, *, is_off: bool) -> list[Load]:
    """Minutes of trim by panel, off or on; panels without any are left out."""
    loads = []
    for panel in sheet.setting.panels:
        whole = panel.panel.trim_off_minutes if is_off else panel.panel.trim_on_minutes
        minutes = round(whole * _trim_share(sheet, panel))
        if minutes:
            loads.append(Load(panel.code, panel.works, own_minutes=minutes))
    return loads


def work_panel(sheet: Sheet, panel: PanelWork, after: Places) -> Places:
    """All the body work of one panel in order; answers the places after which its paint may begin."""
    after = _push(sheet, panel, after)
    for method, code in FIRST_STAGE.items():
        after = _stage_of(sheet, panel, panel.works_by(method), code, after)
    pulled = [work for work in panel.works if work.is_pulled]
    after = _stage_of(sheet, panel, pulled, StageCode.PULL, after, why=PULLED)
    after = _epoxy_first(sheet, panel, after)
    bare = panel.works_by(Method.PULL, Method.SAND)
    lays = (Coat.METAL,) if bare and panel.substrate is not Substrate.PLASTIC else ()
    # Chips on a panel that is painted anyway: feathered each, spotted with primer.
    chips = [work for work in panel.works_by(Method.SAND_IN) if work.damage.kind is DamageKind.CHIP]
    sunk = [work for work in panel.works_by(Method.FEATHER) if work.damage.kind is DamageKind.DIEBACK]
    after = _stage_of(sheet, panel, sunk, StageCode.CURE, after, why=CURED)
    after = _stage_of(sheet, panel, bare, StageCode.STRIP, after, lays, why=_stripped(bare))
    after = _stage_of(sheet, panel, [*panel.works_by(Method.FEATHER), *chips], StageCode.FEATHER, after)
    return _fill(sheet, panel, after)


def polish_out(sheet: Sheet, panel: PanelWork, after: Places) -> Places:
    """Marks that are polished out of the clear, and chips touched in by brush: no other paint on this panel."""
    after = _stage_of(sheet, panel, panel.works_by(Method.CURE_POLISH), StageCode.CURE, after, why=CURED)
    polished = panel.works_by(Method.POLISH, Method.CURE_POLISH)
    after = _stage_of(sheet, panel, polished, StageCode.FLAT_POLISH, after)
    return _stage_of(sheet, panel, panel.works_by(Method.TOUCH_IN), StageCode.TOUCH_IN, after)


def _stripped(works: Sequence[DamageWork]) -> str:
    is_marks = all(work.method is Method.SAND for work in works)
    return works[0].reasons[0] if works and is_marks else STRIPPED


def _epoxy_first(sheet: Sheet, panel: PanelWork, after: Places) -> Places:
    """Epoxy on ground metal before the filler, left overnight, where that was chosen for the rust."""
    sealed = [work for work in panel.works if is_epoxied(work)]
    if not sealed:
        return after
    area = min(panel.panel.area_m2, sum(work.areas.feather_m2 for work in sealed))
    loads = [Load(panel.code, tuple(sealed), area)]
    return sheet.add(
        StageCode.EPOXY_FIRST, [panel], after, loads=loads, lays=(Coat.PRIMER,),
        sprayed=[spray(sheet.setting, "epoxy", [spot(sheet, panel, area)])],
        reasons=["epoxy under the filler keeps air and damp from pits that no disc reaches"],
    )  # fmt: skip


def _push(sheet: Sheet, panel: PanelWork, after: Places) -> Places:
    pushed = panel.works_by(Method.PUSH)
    if not pushed:
        return after
    many = [work for work in pushed if work.damage.kind is DamageKind.SMALL_DENTS]
    single = [work for work in pushed if work not in many]
    own = sum(dents_minutes(sheet.setting.catalogue, panel.panel, work) for work in many)
    load = Load(panel.code, tuple(single), own_minutes=own)
    counted = [f"{w.damage.dent_count} dents of up to {w.damage.dent_class_mm} mm, by count and size" for w in many]
    places = sheet.add(StageCode.PAINTLESS, [panel], after, loads=[load], reasons=[*_reasons(pushed), *counted])
    return sheet.warn_of(pushed, places)


def _fill(sheet: Sheet, panel: PanelWork, after: Places) -> Places:
    filled = [work for work in panel.works if work.fill_mm > 0]
    if not filled:
        return after
    uses, warnings = filling(sheet.setting, panel.code, filled, is_plastic=panel.substrate is Substrate.PLASTIC)
    why = [_filled_reason(work) for work in filled]
    is_sealed = any(is_epoxied(work) for work in filled)
    grits = PLASTIC_FILLER_GRITS if panel.substrate is Substrate.PLASTIC else _alloy(sheet, panel, StageCode.FILL)
    places = sheet.add(
        StageCode.FILL,
        [panel],
        after,
        loads=[Load(panel.code, tuple(filled), grits=grits)],
        steps=["scuff the epoxy with P180 before the filler"] if is_sealed else (),
        reasons=why,
        uses=(*uses, *promoted_uses(sheet.setting, panel, StageCode.FILL)),
        lays=(Coat.FILLER,),
    )
    sheet.warn(warnings, places)
    return places


def _stage_of(
    sheet: Sheet,
    panel: PanelWork,
    works: Sequence[DamageWork],
    code: str,
    after: Places,
    lays: Sequence[Coat] = (),
    why: str | None = None,
) -> Places:
    if not works:
        return after
    steps = dict.fromkeys(PLASTIC_STEPS.get(w.damage.kind, "sand the edges smooth, with no fuzz left") for w in works)
    places = sheet.add(
        code, [panel], after, loads=[Load(panel.code, tuple(works), grits=_alloy(sheet, panel, code))], lays=lays,
        reasons=_reasons(works) if why is None else [why], steps=steps if code == StageCode.PLASTIC_MEND else (),
        uses=promoted_uses(sheet.setting, panel, code),
    )  # fmt: skip
    return sheet.warn_of(works, places)


def _alloy(sheet: Sheet, panel: PanelWork, code: str) -> tuple[int, ...] | None:
    """Grades of a stage on {aluminium}; None where the stage's own hold, or where no metal is sanded."""
    is_metal = panel.substrate is Substrate.ALUMINIUM and code in SANDS_METAL
    return alloy_grits(sheet.setting.catalogue.stages[code]) if is_metal and sheet.setting.is_on(code) else None


def _reasons(works: Sequence[DamageWork]) -> list[str]:
    if len(works) == 1:
        return list(works[0].reasons[:1])
    return [f"damage {work.damage.number}: {reason}" for work in works for reason in work.reasons[:1]]


def _filled_reason(work: DamageWork) -> str:
    return f"damage {work.damage.number}: {work.reasons[-1]}"


def _trim_share(sheet: Sheet, panel: PanelWork) -> float:
    if panel.is_painted or panel.is_new:
        return 1.0
    # Behind many small dents the lining or the liner comes down whatever the access: every one of them is pushed.
    is_hard = any(access_of(panel.panel, work.damage) is not Access.GOOD for work in panel.works_by(Method.PUSH))
    if _is_many(panel) or is_hard:
        return 1.0
    return sheet.setting.number("blend_trim_share") if panel.is_blended_into else 0.0


def _is_many(panel: PanelWork) -> bool:
    """Whether many small dents are pushed out of it."""
    return any(work.damage.kind is DamageKind.SMALL_DENTS for work in panel.works_by(Method.PUSH))

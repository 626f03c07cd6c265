"""Where the clear stops on a quarter or a roof: how much more it covers, what is asked, and what a customer is told.

Neither panel has a gap at its end, so the clear runs to a joint or moulding, over the roof, or is melted in the pillar.
"""

from collections.abc import Iterator

from shopbook.trade.planning.asked import ClearStop
from shopbook.trade.planning.mixes import Spot, panel_spot
from shopbook.trade.planning.shapes import DraftWarning
from shopbook.trade.planning.work import DraftBasis, PanelWork

ROOF = "roof"
NOT_ASKED = ClearStop.NOT_ASKED
BLENDED = (
    "The {colour} blends into a panel that runs on without a gap. Its {clear} is planned to a joint or {moulding}: "
    "check that the car has one there."
)
"""Of a quarter or a roof that is blended into only: no damage of its own says where its clear stops."""


def has_no_gap(panel: str) -> bool:
    """Whether a panel runs on into the next one, so that somebody has to say where the clear stops."""
    return panel == ROOF or panel.endswith("_quarter")


def clear_stop_of(panel: PanelWork) -> ClearStop:
    """Where the clear stops on a panel, as its damages say it; the furthest where they say several."""
    said = {work.damage.clear_stop for work in panel.works}
    return next((each for each in (ClearStop.ROOF, ClearStop.PILLAR, ClearStop.JOINT) if each in said), NOT_ASKED)


def clear_m2(setting: DraftBasis, panel: PanelWork) -> float:
    """The area under clear, outside, in m².

    A quarter of 0.9 m²: 0.9 to the joint, 1.4 melted in the pillar, 2.6 over the roof. A roof of 2.0 m² has two sides:
    3.0 melted in both pillars, 2.5 where one quarter is under the same clear, and a quarter beside it has its own 0.9.
    """
    stop, area = clear_stop_of(panel), panel.panel.area_m2
    sides = open_sides(setting, panel)
    if stop is ClearStop.PILLAR:
        return area + setting.number("clear_pillar_m2") * sides
    return area + setting.number("clear_roof_m2") if stop is ClearStop.ROOF and panel.code != ROOF and sides else area


def open_sides(setting: DraftBasis, panel: PanelWork) -> int:
    """At how many sides the clear of a panel would end without a gap.

    None at a door. One at a quarter and two at a roof, less each side whose next panel is under the same clear: a roof
    with the left quarter has one, that quarter none.
    """
    cleared = {each.code for each in setting.finished}
    if panel.code == ROOF:
        return 2 - sum(code.endswith("_quarter") for code in cleared)
    return int(has_no_gap(panel.code) and ROOF not in cleared)


def clear_spot(setting: DraftBasis, panel: PanelWork) -> Spot:
    """What the clear of a panel covers, the back of a new part with it."""
    plain = panel_spot(setting, panel, inside=setting.inside_share(panel))
    return Spot(plain.panel, plain.area_m2 + clear_m2(setting, panel) - panel.panel.area_m2, plain.transfer)


def clear_stop_warnings(setting: DraftBasis) -> Iterator[DraftWarning]:
    """The question where nobody has answered it, and the warning for an edge that is melted in."""
    for panel in setting.finished:
        if not open_sides(setting, panel):
            continue
        if not panel.works:
            yield DraftWarning("clear_stop_blend", BLENDED)
            continue
        numbers = " and ".join(map(str, panel.numbers))
        if clear_stop_of(panel) is NOT_ASKED:
            yield DraftWarning(
                "clear_stop",
                f"Damage {numbers}: where does the {{clear}} stop? Choose a joint or {{moulding}}, over the roof, or "
                "melted in on the pillar. It is planned to the joint.",
            )
        elif clear_stop_of(panel) is ClearStop.PILLAR:
            yield DraftWarning(
                "clear_melted",
                f"Damage {numbers}: paint makers do not warrant {{clear}} that is melted in on a pillar. "
                "The estimate says so.",
            )

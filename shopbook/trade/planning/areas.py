"""How large and how deep: a damage's own area, the feather and the primer around it, and what is left to fill."""

import math
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue, Panel
from shopbook.trade.catalogue.kinds import Access
from shopbook.trade.planning.shapes import DamageKind, DraftDamage


@dataclass(frozen=True, slots=True)
class Areas:
    """Areas of one damage in m², none larger than its panel: itself, feathered around, primed around."""

    damage_m2: float
    feather_m2: float
    primer_m2: float


def size_mm(catalogue: Catalogue, damage: DraftDamage) -> tuple[float, float]:
    """Length and width in mm, the size step standing in for what was not measured."""
    step = damage.size.value.lower()
    length = catalogue.numbers[f"size_{step}_length_mm"].value
    width = catalogue.numbers[f"size_{step}_width_mm"].value
    if damage.length_mm is not None:
        length = float(damage.length_mm)
        width = min(width, length)
    if damage.width_mm is not None:
        width = float(damage.width_mm)
    return length, width


def areas_of(catalogue: Catalogue, panel: Panel, damage: DraftDamage) -> Areas:
    """The areas of one damage: an ellipse for itself, rectangles around it, as feathering and spraying go."""
    length, width = size_mm(catalogue, damage)
    count = 1
    if damage.kind is DamageKind.SMALL_DENTS:
        length = width = float(damage.dent_class_mm)
        count = damage.dent_count
    feather = 2 * catalogue.numbers["feather_mm"].value
    primer = 2 * catalogue.numbers["primer_mm"].value

    def within_panel(mm2: float) -> float:
        return min(count * mm2 / 1e6, panel.area_m2)

    return Areas(
        within_panel(math.pi / 4 * length * width),
        within_panel((length + feather) * (width + feather)),
        within_panel((length + primer) * (width + primer)),
    )


def depth_mm(catalogue: Catalogue, damage: DraftDamage) -> float:
    """Depth before any work in mm, the step standing in for what was not measured."""
    if damage.depth_um is not None:
        return damage.depth_um / 1000
    return catalogue.numbers[f"depth_{damage.depth.value}_mm"].value


def access_of(panel: Panel, damage: DraftDamage) -> Access:
    """The access that was seen, else the panel's usual."""
    return panel.access if damage.access is None else damage.access


def left_after_pulling_mm(catalogue: Catalogue, panel: Panel, damage: DraftDamage) -> float:
    """What pulling leaves to fill in mm: a share of the depth, larger where no tool reaches the back."""
    share = catalogue.numbers[f"left_{access_of(panel, damage).value}_share"].value
    left = max(catalogue.numbers["left_least_mm"].value, depth_mm(catalogue, damage) * share)
    return round(left, 1)

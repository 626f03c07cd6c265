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
    if damage.kind is DamageKind.SCRATCH:
        width = min(width, catalogue.numbers["scratch_width_mm"].value)
    if damage.width_mm is not None:
        width = float(damage.width_mm)
    return length, width


def _margins_mm(catalogue: Catalogue, damage: DraftDamage) -> tuple[float, float]:
    """How far it is feathered and primed past its edge: a scratch or a chip as narrow as it is itself."""
    narrow = "scratch_" if damage.kind in {DamageKind.SCRATCH, DamageKind.CHIP} else ""
    return catalogue.numbers[f"{narrow}feather_mm"].value, catalogue.numbers[f"{narrow}primer_mm"].value


CHIP_M2 = 25e-6
"""A stone chip itself, 5 mm across."""


def chip_zone_m2(catalogue: Catalogue, panel: Panel, damage: DraftDamage) -> float:
    """The zone that a field of counted chips covers in m²: so much for each chip, at most the panel."""
    return min(panel.area_m2, damage.chip_count * catalogue.numbers["chip_zone_m2"].value)


def areas_of(catalogue: Catalogue, panel: Panel, damage: DraftDamage) -> Areas:
    """The areas of one damage: an ellipse for itself, rectangles around it, as feathering and spraying go."""
    if damage.kind is DamageKind.CHIP and damage.chip_count:
        zone = chip_zone_m2(catalogue, panel, damage)
        return Areas(min(zone, damage.chip_count * CHIP_M2), zone, zone)
    length, width = size_mm(catalogue, damage)
    count = 1
    if damage.kind is DamageKind.SMALL_DENTS:
        length = width = float(damage.dent_class_mm)
        count = damage.dent_count
    feather, primer = (2 * margin for margin in _margins_mm(catalogue, damage))

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

"""Refuses what no panel, day or choice can be, each with a sentence, before anything is drafted."""

import math
from collections.abc import Sequence

from shopbook.trade.catalogue.entries import Catalogue, Panel
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.shapes import Choices, Conditions, DamageKind, DraftDamage
from shopbook.trade.planning.work import touching

MOST_DAMAGES = 200
MOST_DENTS = 2000
DEEPEST_DENT_UM = 150_000
MOST_COATS = 6

SURFACE_KINDS = frozenset({DamageKind.SCRATCH, DamageKind.CHIP, DamageKind.SCUFF, DamageKind.FADED_CLEAR})
"""Kinds that eat into the skin, so that they cannot be deeper than it."""


def check_inputs(
    catalogue: Catalogue, damages: Sequence[DraftDamage], conditions: Conditions, choices: Choices
) -> None:
    """Raises RuleBroken with a sentence for the first thing that cannot be."""
    if not damages:
        raise RuleBroken("Enter at least one damage: the plan is drafted from the damage.", "damages")
    if len(damages) > MOST_DAMAGES:
        raise RuleBroken(f"A plan holds at most {MOST_DAMAGES} damages. Enter small dents as a count.", "damages")
    if len({damage.number for damage in damages}) < len(damages):
        raise RuleBroken("Two damages have the same number. Reload the page and try again.", "number")
    for damage in damages:
        check_damage(catalogue, damage)
    _check_one_substrate(damages)
    check_conditions(conditions)
    for coats in (choices.base_coats, choices.clear_coats, choices.surfacer_coats):
        if coats is not None and not 1 <= coats <= MOST_COATS:
            raise RuleBroken(f"Enter 1 to {MOST_COATS} coats.", "coats")


def check_damage(catalogue: Catalogue, damage: DraftDamage) -> None:
    """Raises RuleBroken with a sentence where one damage cannot be as it is described."""
    if damage.panel not in catalogue.panels:
        raise RuleBroken(f"The catalogue has no panel called {damage.panel!r}.", "panel")
    panel = catalogue.panels[damage.panel]
    for field, value in (("length_mm", damage.length_mm), ("width_mm", damage.width_mm)):
        if value is not None and value <= 0:
            raise RuleBroken("Enter a length and width above zero.", field)
    if math.pi / 4 * (damage.length_mm or 1) * (damage.width_mm or 1) > panel.area_m2 * 1e6:
        raise RuleBroken(
            f"Damage {damage.number} is larger than its panel of {panel.area_m2:g} m². Check length and width.",
            "length_mm",
        )
    _check_depth(panel, damage)
    _check_chips(catalogue, damage)
    _check_small_dents(damage)
    if damage.kind is DamageKind.RUST and damage.substrate is Substrate.PLASTIC:
        raise RuleBroken(f"Damage {damage.number}: plastic does not rust. Choose another kind or material.", "kind")


def check_conditions(conditions: Conditions) -> None:
    """Raises RuleBroken where no shop is as warm, as cold or as damp."""
    if not math.isfinite(conditions.temperature_c) or not -20 <= conditions.temperature_c <= 50:
        raise RuleBroken("Enter a shop temperature between -20 and 50 °C.", "temperature_c")
    if not math.isfinite(conditions.humidity) or not 0 < conditions.humidity <= 100:
        raise RuleBroken("Enter a humidity above 0 and up to 100 %.", "humidity")


def _check_one_substrate(damages: Sequence[DraftDamage]) -> None:
    made_of: dict[str, DraftDamage] = {}
    for damage in damages:
        if damage.substrate is Substrate.UNKNOWN:
            continue
        first = made_of.setdefault(damage.panel, damage)
        if first.substrate is not damage.substrate:
            raise RuleBroken(
                f"Damages {first.number} and {damage.number} are on the same panel, but one says {_made_of(first)} "
                f"and the other {_made_of(damage)}. Choose the same material for both.",
                "substrate",
            )


def _made_of(damage: DraftDamage) -> str:
    return "{aluminium}" if damage.substrate is Substrate.ALUMINIUM else damage.substrate.value


def _check_depth(panel: Panel, damage: DraftDamage) -> None:
    if damage.depth_um is None:
        return
    if damage.depth_um <= 0:
        raise RuleBroken("Enter a depth above zero.", "depth_um")
    if damage.kind in SURFACE_KINDS and damage.depth_um > panel.skin_um:
        raise RuleBroken(
            f"Damage {damage.number} is deeper than the panel is thick: enter {panel.skin_um / 1000:g} mm or less.",
            "depth_um",
        )
    if damage.depth_um > DEEPEST_DENT_UM:
        raise RuleBroken(
            f"Damage {damage.number}: a dent over 150 mm deep cannot be repaired. Replace the panel.", "depth_um"
        )


def _check_chips(catalogue: Catalogue, damage: DraftDamage) -> None:
    if damage.kind is DamageKind.CHIP and not 0 <= damage.chip_count <= MOST_DENTS:
        raise RuleBroken(f"Enter how many stone chips there are, up to {MOST_DENTS}.", "chip_count")
    if not set(damage.blend_into) <= set(touching(catalogue, damage.panel)):
        raise RuleBroken("Blend only into panels that touch this one.", "blend_into")


def _check_small_dents(damage: DraftDamage) -> None:
    if damage.kind is not DamageKind.SMALL_DENTS:
        return
    if not 1 <= damage.dent_count <= MOST_DENTS:
        raise RuleBroken(f"Enter how many small dents there are, from 1 to {MOST_DENTS}.", "dent_count")
    if not 1 <= damage.dent_class_mm <= 300:
        raise RuleBroken("Enter the size of the small dents, from 1 to 300 mm.", "dent_class_mm")

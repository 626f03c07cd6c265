"""What a mix gives off to the air: VOC as applied and less water and exempt, and limits set for its maker.

Definitions: EPA Method 24 (40 CFR 60, appendix A-7), ASTM D3960, and 40 CFR 59.104(a).
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.trade.errors import RuleBroken

DEFERS = "Local rules may be stricter, and the product's data sheet decides."

G_PER_L_OF_LB_PER_GALLON = 453.59237 / 3.785411784
"""119.826: a pound of 453.59237 g in a US gallon of 231 cubic inches."""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One liquid of a mix: ml, its VOC in g for a litre of it as it stands, and the shares of water and exempt
    solvent in its volume."""

    name: str
    volume_ml: float
    voc_g_per_l: float
    water_share: float = 0.0
    exempt_share: float = 0.0


@dataclass(frozen=True, slots=True)
class VocFigure:
    """VOC of a mix: total grams, g/L as applied, g/L less water and exempt, and the sentence that goes with them."""

    voc_g: float
    as_applied_g_per_l: float
    less_water_g_per_l: float
    note: str = DEFERS


def voc_of_mix(ingredients: Sequence[Ingredient]) -> VocFigure:
    """VOC of what is sprayed, volumes taken as adding up.

    As applied = grams ÷ whole volume; less water and exempt = the same grams ÷ (volume − water − exempt).
    """
    for each in ingredients:
        _check_ingredient(each)
    volume_l = sum(each.volume_ml for each in ingredients) / 1000
    counted_l = sum(each.volume_ml * (1 - each.water_share - each.exempt_share) for each in ingredients) / 1000
    if volume_l <= 0 or counted_l <= 0:
        raise RuleBroken("A mix must hold something other than water and exempt solvent.", "volume_ml")
    grams = sum(each.voc_g_per_l * each.volume_ml for each in ingredients) / 1000
    return VocFigure(grams, grams / volume_l, grams / counted_l)


def multi_stage_g_per_l(base: float, clear: float, midcoats: Sequence[float] = ()) -> float:
    """VOC of a topcoat laid in stages: (base + every midcoat + 2 × clear) ÷ (midcoats + 3), each less water, g/L.

    40 CFR 59.104(a)(2) for its terms; two-stage as San Luis Obispo County rule 423 and Kern County rule 410.4A
    print it. The form with midcoats is from memory and agrees with both.
    """
    return (base + sum(midcoats) + 2 * clear) / (len(midcoats) + 3)


def from_lb_per_gallon(lb_per_gallon: float) -> float:
    """Pounds in a US gallon as g/L."""
    return lb_per_gallon * G_PER_L_OF_LB_PER_GALLON


def to_lb_per_gallon(g_per_l: float) -> float:
    """g/L as pounds in a US gallon."""
    return g_per_l / G_PER_L_OF_LB_PER_GALLON


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit that a rule sets for what a maker sells; both units are the rule's own and neither is worked out from
    the other (None: the rule does not print it).

    `categories` are the kinds of mix it stands beside. `topcoat_stages` is set where the rule weighs base, mid coats
    and clear as one topcoat: from how many stages on (2: base and clear; 3: with a mid coat between).
    """

    code: str
    name: str
    g_per_l: float
    lb_per_gallon: float | None
    rule: str
    sure_percent: int
    categories: tuple[str, ...] = ()
    topcoat_stages: int | None = None


def limit_says(figure: VocFigure, limit: Limit) -> str:
    """A mix beside a limit, in words that leave the judging to the data sheet: never that a shop is over or within."""
    return (
        f"This mix works out at {figure.less_water_g_per_l:.0f} g/L less water and exempt solvent. "
        f"{limit.name}: {limit.g_per_l:g} g/L is the limit the product’s manufacturer must meet ({limit.rule}). "
        f"Compare it with your data sheet. {DEFERS}"
    )


@dataclass(frozen=True, slots=True)
class AirEntry:
    """One mix in the air record: the shop's day, the category's code, and thousandths of a gram of VOC."""

    on: date
    category: str
    voc_thousandths_g: int


def to_thousandths_g(grams: float) -> int:
    """The one place where an estimate in grams becomes a quantity in whole thousandths, halves going up, so that a
    month is the sum of its mixes to the last thousandth."""
    return math.floor(grams * 1000 + 0.5)


def totals_by_month(entries: Iterable[AirEntry]) -> Mapping[tuple[int, int], Mapping[str, int]]:
    """Thousandths of a gram by (year, month) and category, months and categories in order."""
    found: dict[tuple[int, int], dict[str, int]] = {}
    for entry in entries:
        month = found.setdefault((entry.on.year, entry.on.month), {})
        month[entry.category] = month.get(entry.category, 0) + entry.voc_thousandths_g
    return {month: dict(sorted(found[month].items())) for month in sorted(found)}


def _check_ingredient(each: Ingredient) -> None:
    if not math.isfinite(each.volume_ml) or each.volume_ml < 0:
        raise RuleBroken(f"The volume of {each.name} cannot be negative.", "volume_ml")
    if not 0 <= each.voc_g_per_l <= 2000:
        raise RuleBroken(f"Enter VOC of {each.name} from 0 to 2,000 g/L.", "voc_g_per_l")
    if min(each.water_share, each.exempt_share) < 0 or each.water_share + each.exempt_share > 1 + 1e-9:
        raise RuleBroken(f"Water and exempt solvent of {each.name} must total 0 to 100 %.", "water_share")

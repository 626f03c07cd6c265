"""How marks in the paint are mended: scratches by the coat they reach, chips by count, and paint that died back.

Common practice: no coarse paper and no etch where the metal is not reached, and never a whole field down to the metal.
"""

from collections.abc import Callable

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.asked import Reach
from shopbook.trade.planning.choosing import Choice, Method, needs_paint
from shopbook.trade.planning.shapes import DamageKind, DepthStep, DraftDamage, DraftWarning, PaintChoice


def reach_of(catalogue: Catalogue, damage: DraftDamage) -> Reach:
    """The deepest coat that a mark goes into: as said, else by its measured depth, else by feel.

    45 µm deep is through the clear and not to the metal (20 and 100 µm are the figures of the catalogue). A scratch
    that a finger feels is planned to the metal; a scuff, which is wide, only where it is deep. A shallow mark asked
    for without paint is in the clear.
    """
    if damage.reach is not Reach.UNKNOWN:
        return damage.reach
    if damage.depth_um is not None:
        if damage.depth_um <= catalogue.numbers["polish_most_um"].value:
            return Reach.CLEAR
        return Reach.PRIMER if damage.depth_um <= catalogue.numbers["scratch_metal_um"].value else Reach.METAL
    if _is_felt_scuff(damage):
        return Reach.PRIMER
    if damage.depth is not DepthStep.SHALLOW:
        return Reach.METAL
    return Reach.CLEAR if damage.paint is PaintChoice.NO_PAINT else Reach.PRIMER


def _is_felt_scuff(damage: DraftDamage) -> bool:
    """A scuff that a finger feels, when nobody said or measured how deep it goes."""
    is_asked = damage.reach is Reach.UNKNOWN and damage.depth_um is None
    return is_asked and damage.kind is DamageKind.SCUFF and damage.depth is DepthStep.FINGER


def _reach_unknown(damage: DraftDamage) -> DraftWarning:
    return DraftWarning(
        "reach_unknown",
        f"Damage {damage.number}: nobody entered how deep the scuff goes. It is planned as not reaching the metal. "
        "Where metal shows, enter it under “Goes down to”.",
    )


def choose_mark(catalogue: Catalogue, damage: DraftDamage, substrate: Substrate) -> Choice:
    """The way of a scratch or a scuff, by the coat that it reaches."""
    reach = reach_of(catalogue, damage)
    warnings = []
    if damage.paint is PaintChoice.NO_PAINT:
        if reach is Reach.CLEAR:
            return Method.POLISH, ["the mark is in the {clear}, so it is sanded and polished out"], []
        warnings = [needs_paint(damage, "it goes through the {clear}")]
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, [PLASTIC_FIRST], warnings
    if _is_felt_scuff(damage):
        warnings.append(_reach_unknown(damage))
    if reach is Reach.METAL:
        return Method.SAND, ["it reaches the metal: strip it no wider than the mark, then seal the metal"], warnings
    return Method.FEATHER, ["it does not reach the metal: feather it, with no stripping and no etch"], warnings


def choose_chips(catalogue: Catalogue, damage: DraftDamage, substrate: Substrate) -> Choice:
    """Touched in by brush up to the usual count on a panel, past it feathered each and painted as a whole."""
    count = damage.chip_count
    is_many = count > catalogue.numbers["chips_touch_most"].value
    if damage.paint is PaintChoice.NO_PAINT and not is_many:
        return Method.TOUCH_IN, ["small chips are touched up by brush and stay visible close up"], []
    warnings = []
    if damage.paint is PaintChoice.NO_PAINT:
        warnings = [needs_paint(damage, f"{count} chips on one panel are too many to touch up")]
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, [PLASTIC_FIRST], warnings
    why = "each chip is feathered and the zone primed in one pass: the field is never stripped to metal"
    return Method.FEATHER, [why], warnings


def choose_dieback(damage: DraftDamage, substrate: Substrate) -> Choice:
    """Cured, flatted and polished; surfacer and paint again where it was asked for."""
    if damage.paint is PaintChoice.NO_PAINT:
        return Method.CURE_POLISH, ["paint that sank is cured through first, or it sinks again after polishing"], []
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, [PLASTIC_FIRST], []
    only = DraftWarning(
        "polish_first",
        f"Damage {damage.number}: cure, sand and {{buff}} it first, and paint it again only if it still shows.",
    )
    return Method.FEATHER, ["the edges under it show, so it is leveled with primer and painted again"], [only]


def usual_paint(kind: str, *, depth: str, reach: str, chip_count: int, is_paint_sound: bool, most_chips: int) -> str:
    """Whether such damage is usually painted, where nobody chose it: a counted field of 8 chips is not, one of 50 is.

    Small dents keep paint that is sound; a scratch in the clear and shallow dieback are polished.
    """
    unpainted: dict[str, Callable[[], bool]] = {
        DamageKind.SMALL_DENTS: lambda: is_paint_sound,
        DamageKind.CHIP: lambda: 0 < chip_count <= most_chips,
        DamageKind.SCRATCH: lambda: reach == Reach.CLEAR,
        DamageKind.SCUFF: lambda: reach == Reach.CLEAR,
        DamageKind.DIEBACK: lambda: depth == DepthStep.SHALLOW,
    }
    return PaintChoice.NO_PAINT if kind in unpainted and unpainted[kind]() else PaintChoice.PAINT


def chip_minutes(catalogue: Catalogue, count: int) -> int:
    """Man-minutes to touch in so many counted chips: 24 for the panel and 1.5 a chip, so 36 for eight."""
    each = round(catalogue.numbers["chip_minutes"].value * 1000)
    return round(catalogue.numbers["chip_fixed_minutes"].value) + divide_half_away(count * each, 1000)


def mark_minutes(catalogue: Catalogue, damage: DraftDamage) -> tuple[tuple[str, int], ...]:
    """Stages whose minutes go by the count of chips, and so by no area."""
    if damage.kind is not DamageKind.CHIP or not damage.chip_count:
        return ()
    feather = divide_half_away(damage.chip_count * round(catalogue.numbers["chip_feather_minutes"].value * 1000), 1000)
    return ((StageCode.TOUCH_IN, chip_minutes(catalogue, damage.chip_count)), (StageCode.FEATHER, feather))


PLASTIC_FIRST = "wash with plastic cleaner before sanding, so that no wax is rubbed in"

"""What an estimate tells a customer in words: the damage on a panel, and what is done about it.

The words name what differs by country by its key; `say` puts the country's word there (`Country.say`).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.letters import lower_first, upper_first
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.trade.planning.shapes import ClearStop, Crossing, DamageKind, DepthStep, PaintChoice, SizeStep

Say = Callable[[str], str]

HURT_WORDS: dict[str, str] = {
    DamageKind.DENT: "dent",
    DamageKind.CREASE: "crease",
    DamageKind.SCRATCH: "scratch",
    DamageKind.CHIP: "stone chips",
    DamageKind.CRACK: "crack",
    DamageKind.RUST: "rust",
    DamageKind.FADED_CLEAR: "failing {clear}",
    DamageKind.BAD_REPAIR: "failed earlier repair",
    DamageKind.SMALL_DENTS: "small dents",
    DamageKind.SCUFF: "scuff",
    DamageKind.DIEBACK: "dull, sunken paint",
}
_SIZES = {SizeStep.S: "coin-sized", SizeStep.M: "palm-sized", SizeStep.L: "large"}
_SPREAD = frozenset(
    {DamageKind.CHIP, DamageKind.RUST, DamageKind.FADED_CLEAR, DamageKind.SMALL_DENTS, DamageKind.DIEBACK}
)
"""Damage that covers an area: the size is the area's, not that of one chip."""
_DEPTHS = {DepthStep.SHALLOW: "", DepthStep.FINGER: "finger-deep", DepthStep.DEEP: "deep"}
_CROSSES = {Crossing.LINE: "body line", Crossing.EDGE: "edge", Crossing.LIP: "wheel arch lip"}
_PAINT = {
    PaintChoice.NO_PAINT: "The paint stays as it is.",
    PaintChoice.PAINT: "Painted, with {clear} over the whole panel.",
    PaintChoice.BLEND: "Painted, and the {colour} blended into the next panels so that they match.",
}


MELTED = "The {clear} is melted in on the pillar, which paint makers do not warrant: the edge may show later."
"""What a customer is told where the clear has no edge to run to."""

WORK_WORDS: dict[str, str] = {
    StageCode.CHECK_IN: "",
    StageCode.TRIM_OFF: "trim and lights off and back on",
    StageCode.REFIT: "trim and lights off and back on",
    StageCode.PAINTLESS: "push out the dents without painting",
    StageCode.PULL: "pull",
    StageCode.CUT_RUST: "grind out and treat the rust",
    StageCode.PLASTIC_MEND: "repair the plastic",
    StageCode.STRIP_OLD: "strip the earlier repair",
    StageCode.SAND_BACK: "sand off the failing {clear}",
    StageCode.STRIP: "",
    StageCode.FILL: "fill and shape",
    StageCode.PRIME: "prime",
    StageCode.BLOCK: "{flat}",
    StageCode.CLEAR_PREP: "",
    StageCode.COLOUR: "",
    StageCode.MASK: "",
    StageCode.SEAL: "",
    StageCode.BASE_CLEAR: "base and {clear}",
    StageCode.UNMASK: "",
    StageCode.POLISH: "{buff}",
    StageCode.FLAT_POLISH: "sand smooth and {buff}",
    StageCode.TOUCH_IN: "touch up the chips",
    StageCode.WAX: "wax behind the repair",
    StageCode.FIT_PART: "fit the new part",
    StageCode.PRIME_PART: "seal the new part on both sides",
    StageCode.CALIBRATION: "sensors calibrated by a qualified technician",
    StageCode.HAND_OVER: "",
    StageCode.FEATHER: "",
    StageCode.EPOXY_FIRST: "",
    StageCode.CURE: "cure the paint",
}
"""What a customer is told of a stage of the catalogue; empty for what belongs to every job."""

ASIDES = frozenset({"trim and lights off and back on", "sensors calibrated by a qualified technician"})


CAUTION_WORDS: dict[str, str] = {
    "airbags": (
        "Airbag or seat belt parts are close to this work. "
        "Only someone trained on this car may remove and {refit} them."
    ),
    "high_voltage": (
        "This car has a high-voltage system. Only qualified people may isolate it before work, and that can take time."
    ),
    "driver_aids": (
        "Cameras or radars near this work may need calibration once it is done. Qualified people decide and do this. "
        "Do not rely on driver assistance until then."
    ),
}
"""What a customer is told of work that only qualified people may do."""

MAKERS_FIRST = "The car maker’s instructions, local rules and licensed practice come before anything written here."


@dataclass(frozen=True, slots=True)
class Hurt:
    """One damage as far as its words go; lengths in millimetres, crossings as the book keeps them."""

    kind: str
    size: str = ""
    length_mm: int | None = None
    width_mm: int | None = None
    depth: str = ""
    dent_count: int = 0
    crosses: str = ""
    paint: str = ""
    chip_count: int = 0
    clear_stop: str = ""


def hurt_words(hurt: Hurt, say: Say, unit: Unit = Unit.MM, locale: str = ENGLISH) -> str:
    """One damage in a phrase: "Crease 12 in × 3 in, finger-deep, across the wheel arch lip", "Palm-sized dent"."""
    if hurt.chip_count:
        return f"{hurt.chip_count} stone {'chip' if hurt.chip_count == 1 else 'chips'}"
    if hurt.dent_count:
        return f"{hurt.dent_count} small {'dent' if hurt.dent_count == 1 else 'dents'}"
    first = _first_words(hurt, say(HURT_WORDS.get(hurt.kind, hurt.kind)), _length_words(hurt, unit, locale))
    depth = _DEPTHS[DepthStep(hurt.depth)] if hurt.depth in set(DepthStep) else ""
    return ", ".join(part for part in (upper_first(first), depth, _across_words(hurt)) if part)


def _first_words(hurt: Hurt, kind: str, lengths: str) -> str:
    size = _SIZES[SizeStep(hurt.size)] if hurt.size else ""
    if lengths or not size:
        return f"{kind} {lengths}".strip()
    return f"{kind}, {size} area" if hurt.kind in _SPREAD else f"{size} {kind}"


def _length_words(hurt: Hurt, unit: Unit, locale: str) -> str:
    sides = [each * 1000 for each in (hurt.length_mm, hurt.width_mm) if each]
    return " × ".join(format_quantity(each, unit, places=0, locale=locale) for each in sides)


def _across_words(hurt: Hurt) -> str:
    crossed = [_CROSSES[Crossing(each)] for each in hurt.crosses.split(",") if each in set(Crossing)]
    return f"across the {' and the '.join(crossed)}" if crossed else ""


def _stage_words(code: str, name: str, say: Say) -> str:
    return say(WORK_WORDS[code]) if code in WORK_WORDS else name.strip()


def work_words(stages: Iterable[tuple[str, str]], say: Say) -> str:
    """What is done, from (code, name) of the stages in order: "Pull, fill, prime, base and clear coat; trim and lights
    off and back on." What belongs to every job (washing, masking, cleaning) is not told; an unknown code says its name.
    """
    told = list(dict.fromkeys(filter(None, (_stage_words(code, name, say) for code, name in stages))))
    aside = [word for word in told if word in ASIDES]
    main = ", ".join(lower_first(word) for word in told if word not in ASIDES)
    whole = "; ".join(filter(None, (main, *aside)))
    return f"{upper_first(whole)}." if whole else ""


def _painted_words(hurts: Sequence[Hurt], say: Say) -> list[str]:
    """Whether the paint stays or is blended, and where the clear has no edge to run to."""
    paints = [hurt.paint for hurt in hurts]
    asked = (PaintChoice.BLEND, PaintChoice.PAINT, PaintChoice.NO_PAINT)
    strongest = next((paint for paint in asked if paint in paints), None)
    is_melted = any(hurt.clear_stop == ClearStop.PILLAR for hurt in hurts)
    return [*([say(_PAINT[strongest])] if strongest else []), *([say(MELTED)] if is_melted else [])]


def group_words(
    hurts: Sequence[Hurt],
    stages: Iterable[tuple[str, str]],
    say: Say,
    unit: Unit = Unit.MM,
    locale: str = ENGLISH,
) -> str:
    """What stands under an item's title: the damage, the work, and whether the paint stays or is blended."""
    found = "; ".join(dict.fromkeys(hurt_words(hurt, say, unit, locale) for hurt in hurts))
    sentences = [f"{found}." if found else "", work_words(stages, say), *_painted_words(hurts, say)]
    return " ".join(sentence for sentence in sentences if sentence)

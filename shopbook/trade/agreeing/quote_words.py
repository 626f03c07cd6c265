"""What a quote tells a customer in words: what is hurt on a panel, and what is done about it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.trade.planning.shapes import Crossing, DamageKind, DepthStep, PaintChoice, SizeStep

HURT_WORDS: dict[str, str] = {
    DamageKind.DENT: "dent",
    DamageKind.CREASE: "crease",
    DamageKind.SCRATCH: "scratch",
    DamageKind.CHIP: "stone chips",
    DamageKind.CRACK: "crack",
    DamageKind.RUST: "rust",
    DamageKind.FADED_CLEAR: "failing clear coat",
    DamageKind.BAD_REPAIR: "failed earlier repair",
    DamageKind.SMALL_DENTS: "small dents",
    DamageKind.SCUFF: "scuff",
}
_SIZES = {SizeStep.S: "as small as a coin", SizeStep.M: "as large as a palm", SizeStep.L: "larger than a palm"}
_DEPTHS = {DepthStep.SHALLOW: "", DepthStep.FINGER: "finger-deep", DepthStep.DEEP: "deep"}
_CROSSES = {Crossing.LINE: "body line", Crossing.EDGE: "edge", Crossing.LIP: "wheel arch lip"}
_PAINT = {
    PaintChoice.NO_PAINT: "The paint is kept.",
    PaintChoice.PAINT: "Painted, clear over the whole panel.",
    PaintChoice.BLEND: "Painted, the colour run out into its neighbours so that they match.",
}


WORK_WORDS: dict[str, str] = {
    StageCode.CHECK_IN: "",
    StageCode.TRIM_OFF: "trim and lamps off and on",
    StageCode.REFIT: "trim and lamps off and on",
    StageCode.PAINTLESS: "push the dents out, paint kept",
    StageCode.PULL: "pull",
    StageCode.CUT_RUST: "grind out the rust and treat",
    StageCode.PLASTIC_MEND: "mend the plastic",
    StageCode.STRIP_OLD: "strip the earlier repair",
    StageCode.SAND_BACK: "sand the failing clear off",
    StageCode.STRIP: "",
    StageCode.FILL: "fill and shape",
    StageCode.PRIME: "prime",
    StageCode.BLOCK: "block",
    StageCode.CLEAR_PREP: "",
    StageCode.COLOUR: "",
    StageCode.MASK: "",
    StageCode.SEAL: "",
    StageCode.BASE_CLEAR: "base and clear",
    StageCode.UNMASK: "",
    StageCode.POLISH: "polish",
    StageCode.FLAT_POLISH: "flat and polish out",
    StageCode.TOUCH_IN: "touch the chips in",
    StageCode.WAX: "wax behind the repair",
    StageCode.FIT_PART: "fit the new part",
    StageCode.PRIME_PART: "seal the new part on both sides",
    StageCode.CALIBRATION: "sensors calibrated by qualified people",
    StageCode.HAND_OVER: "",
}
"""What a customer is told of a stage of the catalogue; empty for what belongs to every job."""

ASIDES = frozenset({"trim and lamps off and on", "sensors calibrated by qualified people"})


CAUTION_WORDS: dict[str, str] = {
    "airbags": (
        "Airbag or belt parts sit near this work. Only somebody trained on this car takes them off and puts them back."
    ),
    "high_voltage": (
        "This car carries high voltage. Only qualified people make it dead before work, and that may take time of its "
        "own."
    ),
    "driver_aids": (
        "Cameras or radars near this work may want calibrating afterwards. Qualified people decide and do it; do not "
        "rely on the car’s helpers before."
    ),
}
"""What an owner is told of work that only qualified people may do."""

MAKERS_FIRST = "The car maker’s instructions, local rules and licensed practice come before anything written here."


@dataclass(frozen=True, slots=True)
class Hurt:
    """One hurt place as far as its words go; lengths in millimetres, crossings as the book keeps them."""

    kind: str
    size: str = ""
    length_mm: int | None = None
    width_mm: int | None = None
    depth: str = ""
    dent_count: int = 0
    crosses: str = ""
    paint: str = ""


def hurt_words(hurt: Hurt, unit: Unit = Unit.MM, locale: str = ENGLISH) -> str:
    """One hurt place in a phrase: "Crease 12 in × 3 in, finger-deep, across the wheel arch lip"."""
    if hurt.dent_count:
        return f"{hurt.dent_count} small {'dent' if hurt.dent_count == 1 else 'dents'}"
    sides = [each * 1000 for each in (hurt.length_mm, hurt.width_mm) if each]
    lengths = [format_quantity(each, unit, places=0, locale=locale) for each in sides]
    size = " × ".join(lengths) or (_SIZES[SizeStep(hurt.size)] if hurt.size else "")
    crossed = [_CROSSES[Crossing(each)] for each in hurt.crosses.split(",") if each in set(Crossing)]
    across = f"across the {' and the '.join(crossed)}" if crossed else ""
    first = f"{HURT_WORDS.get(hurt.kind, hurt.kind)} {size}".strip()
    depth = _DEPTHS[DepthStep(hurt.depth)] if hurt.depth in set(DepthStep) else ""
    return ", ".join(part for part in (first[:1].upper() + first[1:], depth, across) if part)


def work_words(stages: Iterable[tuple[str, str]]) -> str:
    """What is done, from (code, name) of the stages in order: "Pull, fill, prime, base and clear; lamps and trim off
    and on." What belongs to every job (washing, masking, cleaning) is not told; an unknown code says its name.
    """
    told = list(dict.fromkeys(word for code, name in stages if (word := WORK_WORDS.get(code, name.strip()))))
    aside = [word for word in told if word in ASIDES]
    main = ", ".join(small_first(word) for word in told if word not in ASIDES)
    said = "; ".join(part for part in (main, *aside) if part)
    return f"{said[:1].upper()}{said[1:]}." if said else ""


def small_first(word: str) -> str:
    """Words as they stand behind others, their first letter small."""
    return word[:1].lower() + word[1:]


def group_words(
    hurts: Sequence[Hurt], stages: Iterable[tuple[str, str]], unit: Unit = Unit.MM, locale: str = ENGLISH
) -> str:
    """What stands under a group's title: what is hurt, what is done, and whether paint is kept or blended."""
    found = "; ".join(dict.fromkeys(hurt_words(hurt, unit, locale) for hurt in hurts))
    paints = [hurt.paint for hurt in hurts]
    strongest = next(
        (paint for paint in (PaintChoice.BLEND, PaintChoice.PAINT, PaintChoice.NO_PAINT) if paint in paints), None
    )
    sentences = [f"{found}." if found else "", work_words(stages), _PAINT[strongest] if strongest else ""]
    return " ".join(sentence for sentence in sentences if sentence)

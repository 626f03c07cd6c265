"""What a quote tells a customer in words: what is hurt on a panel, and what is done about it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shopbook.trade.letters import lower_first, upper_first
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
    "check_in": "",
    "trim_off": "trim and lamps off and on",
    "refit": "trim and lamps off and on",
    "paintless": "push the dents out, paint kept",
    "pull": "pull",
    "cut_rust": "grind out the rust and treat",
    "plastic_mend": "mend the plastic",
    "strip_old": "strip the earlier repair",
    "sand_back": "sand the failing clear off",
    "strip": "",
    "fill": "fill and shape",
    "prime": "prime",
    "block": "block",
    "clear_prep": "",
    "colour": "",
    "mask": "",
    "seal": "",
    "base_clear": "base and clear",
    "unmask": "",
    "polish": "polish",
    "flat_polish": "flat and polish out",
    "touch_in": "touch the chips in",
    "wax": "wax behind the repair",
    "fit_part": "fit the new part",
    "prime_part": "seal the new part on both sides",
    "calibration": "sensors calibrated by qualified people",
    "hand_over": "",
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


def hurt_words(hurt: Hurt, unit: Unit = Unit.MM) -> str:
    """One hurt place in a phrase: "Crease 12 in × 3 in, finger-deep, across the wheel arch lip"."""
    if hurt.dent_count:
        return f"{hurt.dent_count} small {'dent' if hurt.dent_count == 1 else 'dents'}"
    first = f"{HURT_WORDS.get(hurt.kind, hurt.kind)} {_size_words(hurt, unit)}".strip()
    depth = _DEPTHS[DepthStep(hurt.depth)] if hurt.depth in set(DepthStep) else ""
    return ", ".join(part for part in (upper_first(first), depth, _across_words(hurt)) if part)


def _size_words(hurt: Hurt, unit: Unit) -> str:
    lengths = [format_quantity(each * 1000, unit, places=0) for each in (hurt.length_mm, hurt.width_mm) if each]
    return " × ".join(lengths) or (_SIZES[SizeStep(hurt.size)] if hurt.size else "")


def _across_words(hurt: Hurt) -> str:
    crossed = [_CROSSES[Crossing(each)] for each in hurt.crosses.split(",") if each in set(Crossing)]
    return f"across the {' and the '.join(crossed)}" if crossed else ""


def work_words(stages: Iterable[tuple[str, str]]) -> str:
    """What is done, from (code, name) of the stages in order: "Pull, fill, prime, base and clear; lamps and trim off
    and on." What belongs to every job (washing, masking, cleaning) is not told; an unknown code says its name.
    """
    told = list(dict.fromkeys(word for code, name in stages if (word := WORK_WORDS.get(code, name.strip()))))
    aside = [word for word in told if word in ASIDES]
    main = ", ".join(lower_first(word) for word in told if word not in ASIDES)
    said = "; ".join(part for part in (main, *aside) if part)
    return f"{upper_first(said)}." if said else ""


def group_words(hurts: Sequence[Hurt], stages: Iterable[tuple[str, str]], unit: Unit = Unit.MM) -> str:
    """What stands under a group's title: what is hurt, what is done, and whether paint is kept or blended."""
    found = "; ".join(dict.fromkeys(hurt_words(hurt, unit) for hurt in hurts))
    paints = [hurt.paint for hurt in hurts]
    strongest = next(
        (paint for paint in (PaintChoice.BLEND, PaintChoice.PAINT, PaintChoice.NO_PAINT) if paint in paints), None
    )
    sentences = [f"{found}." if found else "", work_words(stages), _PAINT[strongest] if strongest else ""]
    return " ".join(sentence for sentence in sentences if sentence)

"""Abrasives by the size of their grain: the steps from one to the next, what a coat hides, and how many are needed."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from shopbook.trade.errors import RuleBroken

PARTICLE_UM: dict[int, float] = {
    12: 1815, 16: 1324, 20: 1000, 24: 764, 30: 642, 36: 538, 40: 425, 50: 336, 60: 269, 80: 201, 100: 162,
    120: 125, 150: 100, 180: 82, 220: 68, 240: 58.5, 280: 52.2, 320: 46.2, 360: 40.5, 400: 35.0, 500: 30.2,
    600: 25.8, 800: 21.8, 1000: 18.3, 1200: 15.3, 1500: 12.6, 2000: 10.3, 2500: 8.4, 3000: 7.0,
}  # fmt: skip
"""Mean grain of each P grade in µm, by the FEPA P series of ISO 6344. P3000 is a pad's nominal grain, from memory."""

LONGEST_STEP = 2.5
"""Grain size ratio of one step; common practice, 75 % sure: P80 to P180 passes, P80 to P240 is too long."""

USUAL_STEPS = (80, 180, 320, 500, 800, 1500, 3000)
"""Grades a small shop keeps; a sequence takes from these and fills in from the whole series where a step is long."""


class Form(StrEnum):
    """What the abrasive comes as."""

    DISC_150 = "disc_150"
    SHEET = "sheet"
    PAD = "pad"
    STRIP = "strip"


class Use(StrEnum):
    """Dry with extraction, wet with water and soap, or as the painter likes."""

    DRY = "dry"
    WET = "wet"
    EITHER = "either"


class Ground(StrEnum):
    """What is sanded."""

    METAL = "metal"
    FILLER = "filler"
    PRIMER = "primer"
    OLD_PAINT = "old_paint"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class Advice:
    """How one grade is used on one ground: dry or wet, on what backing, and why."""

    use: Use
    backing: str
    reason: str


@dataclass(frozen=True, slots=True)
class Steps:
    """Grades in the order they are used, each with its reason, and what is wrong with them."""

    grades: tuple[int, ...]
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]


COARSEST_UNDER: dict[str, int] = {
    "etch": 180, "epoxy": 180, "surfacer": 180, "sealer": 400, "base_solid": 400, "base_metallic": 500,
    "clear": 800, "polish": 1500,
}  # fmt: skip
"""The coarsest scratch each coat may go over; common practice, 80 % sure. P320 is the careful choice under surfacer."""

_COAT_WORDS = {
    "surfacer": "{primer}", "base_solid": "solid base", "base_metallic": "metallic base", "clear": "{clear}",
}  # fmt: skip

LIFE_M2: dict[int, float] = {80: 0.075, 180: 0.15, 320: 0.275, 500: 0.5, 800: 0.7, 3000: 2.0}
"""Square metres that a 150 mm disc lasts, by the nearest grade at or below; common practice, 65 % sure."""

LIFE_MINUTES = 20.0
"""Minutes of sanding that a piece lasts, whatever the area; from memory, 55 % sure. No printed figure was found for the
life of a disc by area or time (search of 2026-11): both are the shop's own to set."""

WET_FROM = 1500
"""From this grade up clear is cut wet, or dry on foam; common practice, 75 % sure."""

PAD_FROM = 2500
"""From this grade up it comes as a foam pad; common practice, 75 % sure."""

FORM_SHARE: dict[Form, float] = {Form.DISC_150: 1.0, Form.SHEET: 3.6, Form.PAD: 1.0, Form.STRIP: 1.6}
"""How long a form lasts beside a 150 mm disc, by its face (a 230 × 280 mm sheet, a 70 × 420 mm strip)."""


def particle_um(grade: int) -> float:
    """The mean grain of a P grade in µm; RuleBroken for a grade outside the series."""
    if grade not in PARTICLE_UM:
        raise RuleBroken(f"P{grade} is not a P grade. Enter a grade such as P320.", "grade")
    return PARTICLE_UM[grade]


def sequence(
    from_grade: int, to_grade: int, kept: Sequence[int] = USUAL_STEPS, *, longest_step: float = LONGEST_STEP
) -> Steps:
    """The grades to work through after `from_grade` scratches are there, down to `to_grade`, never coarser again.

    From the grades kept the finest that is within one step is taken; where none is, the series fills in. A
    `to_grade` coarser than what is there asks for nothing: finer scratches need no coarsening.
    """
    start, end = particle_um(from_grade), particle_um(to_grade)
    if start <= end:
        return Steps((), (), ())
    grades: list[int] = []
    reasons: list[str] = []
    here = from_grade
    while PARTICLE_UM[here] > end:
        there = _next_grade(here, to_grade, kept, longest_step)
        ratio = PARTICLE_UM[here] / PARTICLE_UM[there]
        reasons.append(
            f"P{there} takes out P{here} scratches: grain {PARTICLE_UM[there]:g} µm, {ratio:.2f} times finer."
        )
        grades.append(there)
        here = there
    return Steps(tuple(grades), tuple(reasons), step_warnings((from_grade, *grades), longest_step=longest_step))


def step_warnings(grades: Sequence[int], *, longest_step: float = LONGEST_STEP) -> tuple[str, ...]:
    """Sentences about grades used one after another: a step too long, or one that goes back to coarser."""
    warnings = []
    for first, second in pairwise(grades):
        ratio = particle_um(first) / particle_um(second)
        if ratio > longest_step:
            warnings.append(
                f"P{first} to P{second} is too big a step: the grain is {ratio:.1f} times finer, more than "
                f"{longest_step:g}, so P{first} scratches stay underneath."
            )
        elif ratio < 1:
            warnings.append(f"P{second} after P{first} is coarser again and scratches the surface.")
    return tuple(warnings)


def coat_warning(grade: int, coat: str, coarsest: Mapping[str, int] = COARSEST_UNDER) -> str | None:
    """What is wrong with laying `coat` (a key of COARSEST_UNDER) over scratches of P`grade`; None if nothing."""
    if coat not in coarsest:
        raise RuleBroken(f"There is no coarsest grade for {coat.replace('_', ' ')}.", "coat")
    limit = coarsest[coat]
    if particle_um(grade) <= particle_um(limit):
        return None
    return (
        f"P{grade} is too coarse under {_COAT_WORDS.get(coat, coat)}: its scratches may swell and show. "
        f"Finish with P{limit} or finer."
    )


def advise(grade: int, ground: Ground) -> Advice:
    """Whether a grade is used dry or wet on a ground, and on which backing; common practice, 75 % sure."""
    particle_um(grade)
    if ground is Ground.METAL:
        return Advice(Use.DRY, "medium pad", "bare metal rusts from water within the hour")
    if ground is Ground.FILLER:
        return Advice(Use.DRY, "hard block or file board", "filler soaks up water and gives it back under the paint")
    if ground is Ground.PRIMER:
        backing = "block while the area is flat" if grade < 500 else "soft pad over the curve"
        return Advice(Use.EITHER, backing, "dry with extraction shows more; wet only where no filler or metal is bare")
    if ground is Ground.OLD_PAINT:
        return Advice(Use.EITHER, "soft pad, edges by hand with a fine pad", "scuffed until nothing shines")
    if grade < WET_FROM:
        return Advice(Use.DRY, "soft pad", "an even scratch for the next coat of {clear} is easier to see dry")
    if grade >= PAD_FROM:
        return Advice(Use.WET, "foam pad", "it only refines what the last paper left, and follows the curve")
    return Advice(
        Use.WET, "hard block on a nib, soft pad on a panel", "water carries the slurry off and keeps the cut fine"
    )


def count_needed(
    area_m2: float,
    grade: int,
    form: Form = Form.DISC_150,
    life_m2: float | None = None,
    *,
    minutes: float = 0.0,
    life_minutes: float = LIFE_MINUTES,
) -> int:
    """Pieces of one grade for an area and for minutes of sanding, the more of the two, at least one.

    `life_m2` and `life_minutes` override what one piece is reckoned to last.
    """
    if not math.isfinite(area_m2) or area_m2 <= 0:
        raise RuleBroken("Enter an area above zero.", "area_m2")
    if not math.isfinite(minutes) or minutes < 0:
        raise RuleBroken("Enter zero or more minutes of sanding.", "minutes")
    life = usual_life_m2(grade) * FORM_SHARE[form] if life_m2 is None else life_m2
    if life <= 0 or life_minutes <= 0:
        raise RuleBroken("Enter how much area and how many minutes one piece lasts, above zero.", "life_m2")
    return max(1, math.ceil(area_m2 / life - 1e-9), math.ceil(minutes / life_minutes - 1e-9))


def usual_life_m2(grade: int) -> float:
    """The area a 150 mm disc of this grade is reckoned to last, by the nearest listed grade at or below."""
    particle_um(grade)
    at_or_below = [listed for listed in LIFE_M2 if listed <= grade]
    return LIFE_M2[max(at_or_below)] if at_or_below else LIFE_M2[80]


def _next_grade(here: int, to_grade: int, kept: Sequence[int], longest_step: float) -> int:
    floor_um = PARTICLE_UM[here] / longest_step
    end_um = PARTICLE_UM[to_grade]
    if end_um >= floor_um:
        return to_grade
    for stock in (kept, tuple(PARTICLE_UM)):
        within = [g for g in stock if floor_um <= particle_um(g) < PARTICLE_UM[here] and PARTICLE_UM[g] >= end_um]
        if within:
            return max(within)
    return min(grade for grade in PARTICLE_UM if grade > here)

"""The abrasive papers of one stage: which grades, how many of each, used how; and steps that are too long."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shopbook.trade.catalogue.entries import StageKind
from shopbook.trade.catalogue.kinds import MeasuredBy
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.coating.abrasives import PARTICLE_UM, Ground, advise, count_needed, sequence, step_warnings
from shopbook.trade.planning.building import Load, make_use, with_total
from shopbook.trade.planning.shapes import DraftUse, DraftWarning
from shopbook.trade.planning.work import DraftBasis

GROUNDS: dict[str, Ground] = {
    StageCode.PULL: Ground.METAL,
    StageCode.CUT_RUST: Ground.METAL,
    StageCode.STRIP: Ground.OLD_PAINT,
    StageCode.STRIP_OLD: Ground.OLD_PAINT,
    StageCode.SAND_BACK: Ground.OLD_PAINT,
    StageCode.FEATHER: Ground.OLD_PAINT,
    StageCode.FILL: Ground.FILLER,
    StageCode.PLASTIC_MEND: Ground.FILLER,
    StageCode.PRIME: Ground.FILLER,
    StageCode.BLOCK: Ground.PRIMER,
    StageCode.PRIME_PART: Ground.PRIMER,
    StageCode.CLEAR_PREP: Ground.OLD_PAINT,
    StageCode.SCUFF_BASE: Ground.OLD_PAINT,
    StageCode.SCUFF_CLEAR: Ground.CLEAR,
    StageCode.POLISH: Ground.CLEAR,
    StageCode.FLAT_POLISH: Ground.CLEAR,
}
"""What each kind of stage sands; common practice."""


@dataclass(frozen=True, slots=True)
class Papers:
    """Uses by grade in the order they are worked through, and what is wrong with the shop's own steps."""

    uses: tuple[DraftUse, ...]
    warnings: tuple[DraftWarning, ...]


def papers_of(setting: DraftBasis, kind: StageKind, loads: Sequence[Load], minutes: int) -> Papers:
    """Pieces of every grade of a stage, by area and by the time spent sanding; at least one of each."""
    grits = tuple(sorted({grade for load in loads for grade in load.grits or ()} | set(kind.grits)))
    sanding = minutes * setting.number("sanding_share") / max(1, len(kind.grits))
    uses = []
    for place, grade in enumerate(grits):
        before = grits[place - 1] if place else None
        use = _use(setting, kind, loads, grade, before, sanding)
        if use is not None:
            uses.append(use)
    return Papers(tuple(uses), _long_steps(kind.grits))


def alloy_grits(kind: StageKind) -> tuple[int, ...]:
    """The stage's grades on bare {aluminium}: P120 for any that is coarser, since P80 tears it; common practice."""
    return tuple(dict.fromkeys(max(grade, COARSEST_ON_ALLOY) for grade in kind.grits))


COARSEST_ON_ALLOY = 120


def _use(
    setting: DraftBasis, kind: StageKind, loads: Sequence[Load], grade: int, before: int | None, minutes: float
) -> DraftUse | None:
    role = f"disc_p{grade}"
    areas = [(load.panel, _paper_m2(kind, load)) for load in loads if grade in (load.grits or kind.grits)]
    whole = sum(area for _, area in areas)
    if whole <= 0 or role not in setting.catalogue.materials:
        return None
    count = count_needed(whole, grade, setting.catalogue.materials[role].comes_as, minutes=minutes)
    shares = [(panel, count * area / whole) for panel, area in areas]
    return with_total(make_use(setting.catalogue, role, shares, _reason(kind, grade, before, whole)), count * 1000)


def _reason(kind: StageKind, grade: int, before: int | None, whole_m2: float) -> str:
    grain = f"grain {PARTICLE_UM[grade]:g} µm"
    if before is not None and PARTICLE_UM[before] > PARTICLE_UM[grade]:
        grain += f", {PARTICLE_UM[before] / PARTICLE_UM[grade]:.1f} times finer than P{before}"
    over = f"{grain}, over {whole_m2:.2f} m²"
    if kind.code not in GROUNDS:
        return over
    advice = advise(grade, GROUNDS[kind.code])
    use = "dry or wet" if advice.use == "either" else advice.use.value
    return f"{over}; {use}, {advice.backing}"


def _long_steps(grits: Sequence[int]) -> tuple[DraftWarning, ...]:
    """A step that is too long is warned of with the grades that belong between."""
    found = []
    for first, second in pairwise(grits):
        for sentence in step_warnings((first, second)):
            grades = sequence(first, second).grades
            between = f" Go P{first}, {', '.join(f'P{grade}' for grade in grades)}." if len(grades) > 1 else ""
            found.append(DraftWarning("long_step", sentence + between))
    return tuple(found)


def _paper_m2(kind: StageKind, load: Load) -> float:
    if load.works and kind.measured_by in {MeasuredBy.NONE, MeasuredBy.DAMAGE, MeasuredBy.FEATHER}:
        return sum(work.areas.feather_m2 for work in load.works)
    return load.area_m2

"""The kinds of trouble in paint and filler, the shape of the advice on one, and the runs of stages that mend it."""

from dataclasses import dataclass
from enum import StrEnum


class Defect(StrEnum):
    """A kind of trouble."""

    FISH_EYE = "fish_eye"
    RUN = "run"
    ORANGE_PEEL = "orange_peel"
    SCRATCH_SWELLING = "scratch_swelling"
    DIEBACK = "dieback"
    SOLVENT_POP = "solvent_pop"
    DRY_SPRAY = "dry_spray"
    DIRT = "dirt"
    PEELING = "peeling"
    COLOUR_OFF = "colour_off"
    BLEND_EDGE = "blend_edge"
    PINHOLES = "pinholes"
    EDGE_MAPPING = "edge_mapping"


class FoundIn(StrEnum):
    """In what the trouble shows: primer, base before clear, or the clear (and colour under clear)."""

    PRIMER = "primer"
    BASE = "base"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class TroubleKind:
    """One kind of trouble, its advice in order, and the stages that mend it where each is found.

    `stages` holds codes of the catalogue's stages by where it was found; a place that is missing cannot have it.
    """

    defect: Defect
    name: str
    looks: str
    causes: tuple[str, ...]
    now: tuple[str, ...]
    next_time: tuple[str, ...]
    stages: dict[FoundIn, tuple[str, ...]]


# Runs of stages by the codes of the catalogue, in the order of work: a spoilt primer is blocked, then primed again.
POLISH_OUT = ("flat_polish",)
CLEAR_AGAIN = ("mask", "scuff_clear", "unmask", "polish")
COLOUR_AGAIN = ("block", "clear_prep", "colour", "mask", "base_clear", "unmask", "polish")
FROM_PRIMER = ("prime", *COLOUR_AGAIN)
FROM_METAL = ("strip_old", "prime", *COLOUR_AGAIN)
FROM_FILLER = ("strip_old", "fill", "prime", *COLOUR_AGAIN)
PRIME_AGAIN = ("block", "prime")
BASE_AGAIN = ("scuff_base",)

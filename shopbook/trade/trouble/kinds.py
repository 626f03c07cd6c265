"""The kinds of trouble in paint and filler, the shape of the advice on one, and the runs of stages that mend it."""

from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.catalogue.stage_codes import StageCode


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
    """Where the trouble shows: primer, base before clear, or the clear (and colour under clear)."""

    PRIMER = "primer"
    BASE = "base"
    CLEAR = "clear"


FOUND_WORDS = {FoundIn.CLEAR: "{clear}", FoundIn.BASE: "base", FoundIn.PRIMER: "primer"}
"""The coats as the pages name them, said in the words of the country."""


@dataclass(frozen=True, slots=True)
class TroubleKind:
    """One kind of trouble, its advice in order, and the stages that mend it, by the coat where it shows.

    Its words hold keys of the country's words (`{clear}`). `stages` holds codes of the catalogue's stages; a coat that
    is missing cannot have it.
    """

    defect: Defect
    name: str
    looks: str
    causes: tuple[str, ...]
    now: tuple[str, ...]
    next_time: tuple[str, ...]
    stages: dict[FoundIn, tuple[str, ...]]


# Runs of stages by the codes of the catalogue, in the order of work: bad primer is blocked, then primed again.
POLISH_OUT = (StageCode.FLAT_POLISH,)
CLEAR_AGAIN = (StageCode.MASK, StageCode.SCUFF_CLEAR, StageCode.UNMASK, StageCode.POLISH)
COLOUR_AGAIN = (
    StageCode.BLOCK,
    StageCode.CLEAR_PREP,
    StageCode.COLOUR,
    StageCode.MASK,
    StageCode.BASE_CLEAR,
    StageCode.UNMASK,
    StageCode.POLISH,
)
FROM_PRIMER = (StageCode.PRIME, *COLOUR_AGAIN)
FROM_METAL = (StageCode.STRIP_OLD, StageCode.PRIME, *COLOUR_AGAIN)
FROM_FILLER = (StageCode.STRIP_OLD, StageCode.FILL, StageCode.PRIME, *COLOUR_AGAIN)
PRIME_AGAIN = (StageCode.BLOCK, StageCode.PRIME)
BASE_AGAIN = (StageCode.SCUFF_BASE, StageCode.CLEAR_OVER)
"""Base that is laid again ends with clear, always."""
BLEND_AGAIN = (
    StageCode.CLEAR_PREP,
    StageCode.COLOUR,
    StageCode.MASK,
    StageCode.BASE_CLEAR,
    StageCode.UNMASK,
    StageCode.POLISH,
)

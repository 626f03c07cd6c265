"""Trouble in paint and filler: advice by kind, and the stages that are added to mend it."""

from shopbook.trade.errors import RuleBroken
from shopbook.trade.trouble.beneath import BENEATH
from shopbook.trade.trouble.kinds import (
    BLEND_AGAIN,
    CLEAR_AGAIN,
    FOUND_WORDS,
    FROM_FILLER,
    POLISH_OUT,
    Defect,
    FoundIn,
    TroubleKind,
)
from shopbook.trade.trouble.spraying import SPRAYING

TROUBLES: dict[Defect, TroubleKind] = {each.defect: each for each in (*SPRAYING, *BENEATH)}
"""Advice by kind of trouble."""


def stages_for(defect: Defect, found: FoundIn, *, returned: bool = False) -> tuple[str, ...]:
    """Codes of the stages to add, in order; `returned` is trouble that came back after it was mended once.

    What returns in the clear is not polished again, and a blend edge is resprayed only then; peeling, pinholes and edge
    mapping go back to sound material.
    RuleBroken where the trouble cannot show in that coat.
    """
    trouble = TROUBLES[defect]
    if found not in trouble.stages:
        raise RuleBroken(
            f"{trouble.name} does not show in the {FOUND_WORDS[found]}. Choose the coat where you see it.", "found"
        )
    plain = trouble.stages[found]
    if not returned:
        return plain
    if defect in {Defect.EDGE_MAPPING, Defect.PINHOLES}:
        return FROM_FILLER
    if defect is Defect.BLEND_EDGE and found is FoundIn.CLEAR:
        return BLEND_AGAIN
    return CLEAR_AGAIN if plain == POLISH_OUT else plain

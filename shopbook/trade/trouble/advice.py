"""Trouble in paint and filler: advice by kind, and the stages that come on top where it is found."""

from shopbook.trade.errors import RuleBroken
from shopbook.trade.trouble.beneath import BENEATH
from shopbook.trade.trouble.kinds import CLEAR_AGAIN, FROM_FILLER, POLISH_OUT, Defect, FoundIn, TroubleKind
from shopbook.trade.trouble.spraying import SPRAYING

TROUBLES: dict[Defect, TroubleKind] = {each.defect: each for each in (*SPRAYING, *BENEATH)}
"""Advice by kind of trouble."""


def stages_for(defect: Defect, found: FoundIn, *, returned: bool = False) -> tuple[str, ...]:
    """Codes of the stages to add, in order; `returned` is trouble that came back after it was mended once.

    What returns in the clear is not polished again; peeling, pinholes and edge mapping go to sound ground. RuleBroken
    where the trouble cannot be found in that coat.
    """
    trouble = TROUBLES[defect]
    if found not in trouble.stages:
        raise RuleBroken(f"{trouble.name} is not a trouble of the {found}; say in which coat it shows.", "found")
    plain = trouble.stages[found]
    if not returned:
        return plain
    if defect in {Defect.EDGE_MAPPING, Defect.PINHOLES}:
        return FROM_FILLER
    return CLEAR_AGAIN if plain == POLISH_OUT else plain

"""What a stage takes on one usual repair, so that a standard is one figure that a painter knows."""

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages
from shopbook.trade.planning.shapes import Car, Conditions

USUAL_PANEL = "left_front_door"
ASKED_PANELS = (USUAL_PANEL, "left_rear_door", "left_quarter")
"""What a caller's one, two or three panels stand for, each with a palm-sized dent."""

USUAL_WORDS = "One door with a palm-sized dent, painted."


def usual_minutes(catalogue: Catalogue) -> dict[str, int]:
    """Man-minutes by stage of the plan for one door with a palm-sized dent, painted, at 20 °C; other stages left out.

    By the catalogue as shipped "fill and shape" takes 45 minutes there, "base and clear" 66.
    """
    plan = draft_plan(catalogue, Car(), kerb_damages([KerbAnswer(USUAL_PANEL)], catalogue), Conditions())
    return {str(stage.code): stage.minutes for stage in plan.stages}

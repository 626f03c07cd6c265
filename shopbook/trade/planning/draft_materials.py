"""What paint and materials of a draft come to before anybody looks at the shelf: hours by stage, packs by our guess."""

from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.planning.shapes import DraftPlan, DraftUse
from shopbook.trade.pricing.materials import (
    REFINISH_STAGES,
    MaterialsRates,
    MaterialsRule,
    PaintWork,
    marked_up,
    materials_price,
)
from shopbook.trade.pricing.pack_guesses import guessed_cost


@dataclass(frozen=True, slots=True)
class PaintRates:
    """How one payer pays for paint and materials: the rules, an hour of paint work, an hour at the door, the mark-up on
    colour bought for the car."""

    materials: MaterialsRates
    payer_kind: str
    paint_rate_minor: int
    door_rate_minor: int
    colour_markup_permille: int = 0


def draft_materials(draft: DraftPlan, catalogue: Catalogue, rates: PaintRates) -> int:
    """Materials and colour of a draft before tax, in minor units; RuleBroken where the rule's figure is not set."""
    uses = [use for stage in draft.stages for use in stage.uses]
    shelf, colour = _costs(uses, catalogue, rates.door_rate_minor)
    refinish = sum(stage.minutes for stage in draft.stages if stage.code in REFINISH_STAGES)
    work = PaintWork(draft.minutes_by_skill[Skill.PAINT], refinish, shelf, shelf)
    rule = rates.materials.rule(rates.payer_kind)
    price = materials_price(work, rule, rates.materials, rates.paint_rate_minor)
    return price.minor + (marked_up(colour, rates.colour_markup_permille) if rule is MaterialsRule.SHELF else 0)


def _costs(uses: list[DraftUse], catalogue: Catalogue, door_rate_minor: int) -> tuple[int, int]:
    """What comes off the shelf, and what is bought for the car."""
    shelf = colour = 0
    for use in uses:
        material = catalogue.materials[use.role]
        cost = guessed_cost(use.role, use.amount_thousandths, material.pack_thousandths, door_rate_minor)
        shelf, colour = (shelf, colour + cost) if material.is_bought_for_job else (shelf + cost, colour)
    return shelf, colour

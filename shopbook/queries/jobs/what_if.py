"""The plan of a job under other conditions, beside the plan as it would be drafted now."""

from collections.abc import Mapping
from dataclasses import dataclass

from shopbook.models.jobs import Job
from shopbook.queries.jobs.listed import paint_rates
from shopbook.queries.jobs.planning import Planning, plan_shop
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.comparing import Change, Difference, elapsed_minutes, what_if
from shopbook.trade.planning.draft_materials import draft_materials
from shopbook.trade.planning.shapes import DraftPlan
from shopbook.trade.pricing.lines import hour_of


@dataclass(frozen=True, slots=True)
class PlanFigures:
    """One of the two plans in figures: man-minutes, ml by the name of a mix, price by hours, minutes until finished."""

    minutes: int
    ml_by_mix: Mapping[str, int]
    price_minor: int
    finish_minutes: int


@dataclass(frozen=True, slots=True)
class WhatIfAnswer:
    """Both plans beside each other, and what changes in sentences."""

    before: PlanFigures
    after: PlanFigures
    difference: Difference

    @property
    def mixes(self) -> list[str]:
        """Names of all mixes, those of today's plan first."""
        return list(dict.fromkeys([*self.before.ml_by_mix, *self.after.ml_by_mix]))


def what_if_of(shop: ShopOn, job: Job, planning: Planning, change: Change) -> WhatIfAnswer:
    """What a change does to a job's plan, in today's shop. RuleBroken without damage, or for a condition that no shop
    has."""
    if not planning.damages:
        raise RuleBroken("Add the damage first. There is no plan without it.")
    difference = what_if(
        planning.catalogue, planning.car, planning.damages, planning.conditions, change, planning.choices
    )
    before, after = (figures_of(plan_shop(shop, job), job, draft) for draft in (difference.before, difference.after))
    return WhatIfAnswer(before, after, difference)


def figures_of(shop: ShopOn, job: Job, draft: DraftPlan) -> PlanFigures:
    """Priced by hours: each skill at its rate for the payer, paint and materials by the payer's rule."""
    rates, paint = shop.labour, paint_rates(shop, job.payer_kind)
    price = draft_materials(draft, shop.catalogue, paint)
    for skill, minutes in draft.minutes_by_skill.items():
        rate = hour_of(rates, skill, job.payer_kind, otherwise=paint.door_rate_minor)
        price += divide_half_away(minutes * rate, 60)
    mixes: dict[str, int] = {}
    for mix in (mix for stage in draft.stages for mix in stage.mixes):
        mixes[mix.name] = mixes.get(mix.name, 0) + mix.total_ml
    return PlanFigures(draft.minutes, mixes, price, elapsed_minutes(draft))

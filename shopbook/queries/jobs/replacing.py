"""Repair or replace: one damaged panel of a job both ways, whole with whole, at the shop's rates of the day."""

from shopbook.models.jobs import Job
from shopbook.queries.jobs.listed import paint_rates
from shopbook.queries.jobs.planning import plan_shop, planning_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.comparing import Comparison, Rates, repair_or_replace
from shopbook.trade.pricing.lines import hour_of


def compare_panel(shop: ShopOn, job: Job, panel: str, part_minor: int) -> Comparison:
    """Both wholes before tax for a panel of a job in today's shop, the new part at `part_minor`. RuleBroken where
    nothing is damaged."""
    planning = planning_on(shop, job)
    damages = [damage for damage in planning.damages if damage.panel == panel]
    if not damages:
        raise RuleBroken("Choose a damaged panel of this job.", "panel")
    agreed_on = plan_shop(shop, job)
    held, paint = agreed_on.labour, paint_rates(agreed_on, job.payer_kind)
    labour = {skill: hour_of(held, skill, job.payer_kind, otherwise=paint.door_rate_minor) for skill in Skill}
    rates = Rates(labour, paint)
    return repair_or_replace(
        planning.catalogue, planning.car, damages, planning.conditions, rates, part_minor, planning.choices
    )

"""Repair or replace: one hurt panel of a job both ways, whole with whole, at the shop's rates of the day."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.listed import paint_rates
from shopbook.queries.jobs.planning import plan_day, planning_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.comparing import Comparison, Rates, repair_or_replace
from shopbook.trade.pricing.lines import hour_of


def compare_panel(session: Session, job: Job, now: datetime, panel: str, part_minor: int) -> Comparison:
    """Both wholes before tax for a panel of a job, the new part at `part_minor`. RuleBroken where nothing is hurt."""
    planning = planning_of(session, job, now)
    damages = [damage for damage in planning.damages if damage.panel == panel]
    if not damages:
        raise RuleBroken("Nothing is hurt on that panel.", "panel")
    shop = ShopOn(session, plan_day(session, job, now))
    held, paint = shop.labour, paint_rates(shop, job.payer_kind)
    labour = {skill: hour_of(held, skill, job.payer_kind, otherwise=paint.door_rate_minor) for skill in Skill}
    rates = Rates(labour, paint)
    return repair_or_replace(
        planning.catalogue, planning.car, damages, planning.conditions, rates, part_minor, planning.choices
    )

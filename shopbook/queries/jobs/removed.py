"""What was removed from a job and can be restored, each with what restoring it changes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select

from shopbook.models.jobs import Damage, Job, JobPart, Picture, Stage
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.planning import Planning, draft_damage, plan_shop, planning_on
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.jobs.what_if import figures_of
from shopbook.queries.shop.shop_on import ShopOn


@dataclass(frozen=True, slots=True)
class RemovedDamage:
    """One damage, with the man-minutes and the price by hours (minor units) that the plan would have more."""

    damage: Damage
    more_minutes: int
    more_minor: int


@dataclass(frozen=True, slots=True)
class Removed:
    """All that was removed from one job."""

    stages: Sequence[Stage]
    damages: Sequence[RemovedDamage]
    parts: Sequence[JobPart]
    pictures: Sequence[Picture]


def list_removed(shop: ShopOn, job: Job) -> Removed:
    """What was removed from a job, the oldest first, in today's shop."""
    session = shop.session
    pictures = select(Picture).where(Picture.job_id == job.id, Picture.struck_at.is_not(None)).order_by(Picture.id)
    struck = [row for row in list_damages(session, job.id, with_struck=True) if row.struck_at is not None]
    planning = planning_on(shop, job) if struck else None
    return Removed(
        stages=[row for row in list_stages(session, job.id, with_struck=True) if row.struck_at is not None],
        damages=[_with_change(shop, job, planning, row) for row in struck if planning is not None],
        parts=[row for row in list_parts(session, job.id, with_struck=True) if row.struck_at is not None],
        pictures=list(session.scalars(pictures)),
    )


def _with_change(shop: ShopOn, job: Job, planning: Planning, damage: Damage) -> RemovedDamage:
    """By the plan as it would be drafted now, without and with this damage."""
    with_it = replace(planning, damages=(*planning.damages, draft_damage(damage)))
    here = plan_shop(shop, job)
    before, after = (
        figures_of(here, job, draft) if (draft := one.draft()) is not None else None for one in (planning, with_it)
    )
    assert after is not None
    minutes, minor = (before.minutes, before.price_minor) if before is not None else (0, 0)
    return RemovedDamage(damage, after.minutes - minutes, after.price_minor - minor)

"""What was removed comes back into the job as it stands now, and what that changes is known before."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.jobs.removed import list_removed
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.jobs.damage import strike_damage
from shopbook.services.jobs.drafting import follow_damage
from shopbook.services.jobs.leaving import mark_handed_over
from shopbook.services.jobs.parts import add_part, strike_part
from shopbook.services.jobs.restoring import restore_damage, restore_part
from shopbook.trade.errors import RuleBroken
from tests.makers.jobs import make_planned_job


def minutes(session: Session, job: Job) -> int:
    return sum(stage.planned_minutes for stage in list_stages(session, job.id))


def test_the_plan_has_as_many_hours_more_as_was_said_before(session: Session, act: Act) -> None:
    job = make_planned_job(session, "right_front_door", "bonnet")
    whole = minutes(session, job)
    damage = list_damages(session, job.id)[1]
    strike_damage(act, damage.id)
    follow_damage(act, job.id)
    less = minutes(session, job)
    (row,) = list_removed(shop_at(session, act.moment), job).damages
    assert (row.damage.id, row.more_minutes) == (damage.id, whole - less)
    assert row.more_minor > 0
    restore_damage(act, damage.id)
    assert minutes(session, job) == whole
    assert list_removed(shop_at(session, act.moment), job).damages == []


def test_the_only_damage_comes_back_with_all_its_hours(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    strike_damage(act, list_damages(session, job.id)[0].id)
    (row,) = list_removed(shop_at(session, act.moment), job).damages
    assert row.more_minutes == minutes(session, job)


def test_a_part_comes_back_as_it_was(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    part = add_part(act, job.id, name="Handle", kind="part", cost_minor=1200)
    strike_part(act, part.id)
    assert [row.id for row in list_removed(shop_at(session, act.moment), job).parts] == [part.id]
    restore_part(act, part.id)
    assert [(row.name, row.cost_minor) for row in list_parts(session, job.id)] == [("Handle", 1200)]


def test_nothing_comes_back_into_a_job_whose_car_has_left(session: Session, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    part = add_part(act, job.id, name="Handle", kind="part")
    strike_part(act, part.id)
    mark_handed_over(act, job)
    with pytest.raises(RuleBroken, match="handed over"):
        restore_part(act, part.id)

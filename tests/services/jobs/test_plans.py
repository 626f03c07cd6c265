"""The plan: drafted, drafted again over what was touched, agreed or begun, changed by hand, kept by version."""

from datetime import datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.jobs.plans import find_version, get_stage, last_version, list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.damage import change_damage, strike_damage
from shopbook.services.jobs.doing import reopen_stage
from shopbook.services.jobs.drafting import draft_plan, follow_damage
from shopbook.services.jobs.jobs import mark_agreed
from shopbook.services.jobs.order import move_stage
from shopbook.services.jobs.plans import change_stage, restore_stage, strike_stage
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import begin_stage, end_stage
from tests.makers.jobs import make_damage, make_job, make_planned_job, make_stage

DOORS = ("right_front_door", "right_rear_door")


def figures(stages: list[Stage]) -> list[tuple[str, int, tuple[str, ...]]]:
    return [(each.code, each.planned_minutes, tuple(sorted(p.panel for p in each.panels))) for each in stages]


def stage_coded(session: Session, job: Job, code: str) -> Stage:
    return next(stage for stage in list_stages(session, job.id) if stage.code == code)


def test_a_plan_without_damage_is_refused(session: Session, act: Act) -> None:
    with pytest.raises(RuleBroken, match="Add the damage first"):
        draft_plan(act, make_job(session).id)


def test_the_kept_plan_is_the_draft_stage_by_stage(session: Session, now: datetime) -> None:
    job = make_planned_job(session, *DOORS)
    draft = planning_of(session, job, now).draft()
    assert draft is not None
    kept = list_stages(session, job.id)
    assert [(each.code, each.planned_minutes) for each in kept] == [(s.code, s.minutes) for s in draft.stages]
    places = {stage.id: place for place, stage in enumerate(kept)}
    assert [tuple(sorted(places[a.after_id] for a in each.after)) for each in kept] == [s.after for s in draft.stages]
    uses = {(u.role, u.amount_thousandths) for stage in kept for u in stage.uses}
    assert uses == {(u.role, u.amount_thousandths) for stage in draft.stages for u in stage.uses}


def test_drafting_twice_changes_nothing_but_the_version(session: Session, act: Act) -> None:
    job = make_planned_job(session, *DOORS)
    before = [(stage.id, *figures([stage])) for stage in list_stages(session, job.id)]
    draft_plan(act, job.id)
    assert [(stage.id, *figures([stage])) for stage in list_stages(session, job.id)] == before
    assert last_version(session, job.id) == 2


def test_touched_hours_survive_a_new_draft(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    job = make_planned_job(session)
    pull = stage_coded(session, job, "pull")
    change_stage(act, pull.id, planned_minutes=90)
    draft_plan(act, job.id)
    pull = get_stage(session, pull.id)
    assert (pull.planned_minutes, pull.is_touched, pull.standard_minutes != 90) == (90, True, True)
    assert sum(each.minutes for each in pull.panels) == 90


def test_a_new_dent_elsewhere_widens_an_untouched_plan(session: Session, act: Act) -> None:
    job = make_planned_job(session, "right_front_door")
    make_damage(session, job, "right_rear_door")
    follow_damage(act, job.id)
    fresh = make_planned_job(session, *DOORS)
    assert sorted(figures(list_stages(session, job.id))) == sorted(figures(list_stages(session, fresh.id)))


def test_an_agreed_plan_keeps_its_figures_and_new_damage_comes_as_an_extra(session: Session, act: Act) -> None:
    job = make_planned_job(session, "right_front_door", is_agreed=True)
    agreed = figures(list_stages(session, job.id))
    make_damage(session, job, "right_rear_door")
    follow_damage(act, job.id)
    after = list_stages(session, job.id)
    assert figures([stage for stage in after if stage.agreed_at]) == agreed
    extras = [stage for stage in after if not stage.agreed_at]
    assert extras
    assert {stage.purpose for stage in extras} == {"extra"}
    assert all({each.panel for each in stage.panels} <= {"right_rear_door"} for stage in extras)


def test_a_worse_dent_on_an_agreed_panel_adds_only_the_difference(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_job(session)
    damage = make_damage(session, job, depth="shallow", size="S")
    draft_plan(act, job.id)
    mark_agreed(session, now, job, ["right_front_door"])
    agreed = {stage.code: stage.planned_minutes for stage in list_stages(session, job.id)}
    change_damage(act, damage.id, depth="deep", size="L")
    follow_damage(act, job.id)
    draft = planning_of(session, job, now).draft()
    assert draft is not None
    after = list_stages(session, job.id)
    assert {stage.code: stage.planned_minutes for stage in after if stage.agreed_at} == agreed
    for drafted in draft.stages:
        whole = sum(stage.planned_minutes for stage in after if stage.code == drafted.code)
        assert 0 <= drafted.minutes - whole < 6 or drafted.minutes <= agreed.get(drafted.code, 0)


def test_a_panel_that_the_owner_leaves_goes_out_and_comes_back_with_a_later_yes(
    session: Session, now: datetime
) -> None:
    job = make_planned_job(session, *DOORS)
    mark_agreed(session, now, job, [DOORS[0]], left_keys=[DOORS[1]])
    alone = make_planned_job(session, DOORS[0])
    assert figures(list_stages(session, job.id)) == figures(list_stages(session, alone.id))
    assert all(stage.agreed_at for stage in list_stages(session, job.id))
    mark_agreed(session, now, job, [DOORS[1]])
    panels = {each.panel for stage in list_stages(session, job.id) for each in stage.panels}
    assert panels == set(DOORS)
    assert all(stage.agreed_at for stage in list_stages(session, job.id))


def test_a_stage_struck_by_hand_is_not_drafted_again(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    job = make_planned_job(session)
    polish = stage_coded(session, job, "polish")
    strike_stage(act, polish.id, "the owner does it")
    draft_plan(act, job.id)
    assert "polish" not in {stage.code for stage in list_stages(session, job.id)}
    restore_stage(act, polish.id)
    assert "polish" in {stage.code for stage in list_stages(session, job.id)}


def test_striking_the_only_damage_takes_the_drafted_plan_away(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_job(session)
    damage = make_damage(session, job)
    draft_plan(act, job.id)
    mine = make_stage(session, job, "Look at the lamp")
    strike_damage(act, damage.id)
    follow_damage(act, job.id)
    assert [stage.id for stage in list_stages(session, job.id)] == [mine.id]


def test_a_begun_stage_is_neither_struck_nor_moved_nor_redrafted(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    first = list_stages(session, job.id)[0]
    begin_stage(act, first.id)
    with pytest.raises(RuleBroken, match="begun"):
        strike_stage(act, first.id)
    with pytest.raises(RuleBroken):
        move_stage(act, first.id, 1)
    assert (job.begun_at, job.came_at) == (now, now)


def test_a_finished_stage_is_finished_once_and_can_be_opened_again(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    first = list_stages(session, job.id)[0]
    begin_stage(act, first.id)
    end_stage(act, first.id)
    with pytest.raises(Conflict):
        end_stage(act, first.id)
    with pytest.raises(RuleBroken, match="done"):
        change_stage(act, first.id, planned_minutes=5, why="x")
    assert reopen_stage(act, first.id).finished_at is None


def test_an_agreed_stage_changes_only_with_a_reason_and_the_agreed_version_stays(session: Session, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    version, pull = last_version(session, job.id), stage_coded(session, job, "pull")
    agreed_to = find_version(session, job.id, version)
    assert agreed_to is not None
    was = agreed_to.body
    with pytest.raises(RuleBroken) as refused:
        change_stage(act, pull.id, planned_minutes=120)
    assert refused.value.field == "why"
    session.expire(pull)
    change_stage(act, pull.id, planned_minutes=120, why="rust behind it")
    assert agreed_to.body == was
    newest = find_version(session, job.id)
    assert newest is not None
    assert newest.version == version + 1
    assert {each["minutes"] for each in newest.body["stages"] if each["id"] == pull.id} == {120}


def test_a_stale_plan_page_is_refused(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    version, pull = last_version(session, job.id), stage_coded(session, job, "pull")
    change_stage(act, pull.id, planned_minutes=50, version=version)
    with pytest.raises(Conflict):
        change_stage(act, pull.id, planned_minutes=60, version=version)


def test_a_press_that_changes_nothing_writes_no_version(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    pull = stage_coded(session, job, "pull")
    before = last_version(session, job.id)
    change_stage(act, pull.id, planned_minutes=pull.planned_minutes, name=pull.name, skill=pull.skill)
    assert last_version(session, job.id) == before


@pytest.mark.parametrize("minutes", [-1, 10_001])
def test_impossible_hours_are_refused(session: Session, act: Act, minutes: int) -> None:
    job = make_planned_job(session)
    with pytest.raises(RuleBroken, match="hours"):
        change_stage(act, stage_coded(session, job, "pull").id, planned_minutes=minutes)

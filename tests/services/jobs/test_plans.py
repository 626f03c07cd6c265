"""The plan: drafted, drafted again over what was touched, agreed or begun, changed by hand, kept by version."""

import json
from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.jobs.plans import find_version, get_stage, hours_of, last_version, list_stages, list_versions
from shopbook.services.jobs.damage import change_damage, strike_damage
from shopbook.services.jobs.frowns import accept_warning
from shopbook.services.jobs.jobs import mark_agreed, mark_handed_over
from shopbook.services.jobs.order import add_passed_window_stage, move_stage
from shopbook.services.jobs.parts import add_part, part_came, send_part_back, strike_part
from shopbook.services.jobs.plans import (
    add_stage,
    begin_stage,
    change_stage,
    change_use,
    draft_plan,
    end_stage,
    follow_damage,
    keep_conditions,
    reopen_stage,
    restore_stage,
    strike_stage,
)
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.jobs import make_damage, make_job, make_planned_job, make_stage

DOORS = ("right_front_door", "right_rear_door")


def figures(stages: list[Stage]) -> list[tuple[str, int, tuple[str, ...]]]:
    return [(each.code, each.planned_minutes, tuple(sorted(p.panel for p in each.panels))) for each in stages]


def stage_coded(session: Session, job: Job, code: str) -> Stage:
    return next(stage for stage in list_stages(session, job.id) if stage.code == code)


def test_a_plan_without_damage_is_refused(session: Session, owner: Actor, now: datetime) -> None:
    with pytest.raises(RuleBroken, match="at least one damage"):
        draft_plan(session, owner, now, make_job(session).id)


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


def test_drafting_twice_changes_nothing_but_the_version(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, *DOORS)
    before = [(stage.id, *figures([stage])) for stage in list_stages(session, job.id)]
    draft_plan(session, owner, now, job.id)
    assert [(stage.id, *figures([stage])) for stage in list_stages(session, job.id)] == before
    assert last_version(session, job.id) == 2


def test_touched_hours_survive_a_new_draft(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    pull = stage_coded(session, job, "pull")
    change_stage(session, owner, now, pull.id, planned_minutes=90)
    draft_plan(session, owner, now, job.id)
    pull = get_stage(session, pull.id)
    assert (pull.planned_minutes, pull.is_touched, pull.standard_minutes != 90) == (90, True, True)
    assert sum(each.minutes for each in pull.panels) == 90


def test_a_new_dent_elsewhere_widens_an_untouched_plan(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, "right_front_door")
    make_damage(session, job, "right_rear_door")
    follow_damage(session, owner, now, job.id)
    fresh = make_planned_job(session, *DOORS)
    assert sorted(figures(list_stages(session, job.id))) == sorted(figures(list_stages(session, fresh.id)))


def test_an_agreed_plan_keeps_its_figures_and_new_damage_comes_as_an_extra(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_planned_job(session, "right_front_door", is_agreed=True)
    agreed = figures(list_stages(session, job.id))
    make_damage(session, job, "right_rear_door")
    follow_damage(session, owner, now, job.id)
    after = list_stages(session, job.id)
    assert figures([stage for stage in after if stage.agreed_at]) == agreed
    extras = [stage for stage in after if not stage.agreed_at]
    assert extras
    assert {stage.purpose for stage in extras} == {"extra"}
    assert all({each.panel for each in stage.panels} <= {"right_rear_door"} for stage in extras)


def test_a_worse_dent_on_an_agreed_panel_adds_only_the_difference(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_job(session)
    damage = make_damage(session, job, depth="shallow", size="S")
    draft_plan(session, owner, now, job.id)
    mark_agreed(session, now, job, ["right_front_door"])
    agreed = {stage.code: stage.planned_minutes for stage in list_stages(session, job.id)}
    change_damage(session, owner, now, damage.id, depth="deep", size="L")
    follow_damage(session, owner, now, job.id)
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


def test_a_stage_struck_by_hand_is_not_drafted_again(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    polish = stage_coded(session, job, "polish")
    strike_stage(session, owner, now, polish.id, "the owner does it")
    draft_plan(session, owner, now, job.id)
    assert "polish" not in {stage.code for stage in list_stages(session, job.id)}
    restore_stage(session, owner, now, polish.id)
    assert "polish" in {stage.code for stage in list_stages(session, job.id)}


def test_striking_the_only_damage_takes_the_drafted_plan_away(session: Session, owner: Actor, now: datetime) -> None:
    job = make_job(session)
    damage = make_damage(session, job)
    draft_plan(session, owner, now, job.id)
    mine = make_stage(session, job, "Look at the lamp")
    strike_damage(session, owner, now, damage.id)
    follow_damage(session, owner, now, job.id)
    assert [stage.id for stage in list_stages(session, job.id)] == [mine.id]


def test_a_begun_stage_is_neither_struck_nor_moved_nor_redrafted(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, is_agreed=True)
    first = list_stages(session, job.id)[0]
    begin_stage(session, owner, now, first.id)
    with pytest.raises(RuleBroken, match="begun"):
        strike_stage(session, owner, now, first.id)
    with pytest.raises(RuleBroken):
        move_stage(session, owner, now, first.id, 1)
    assert (job.begun_at, job.came_at) == (now, now)


def test_a_finished_stage_is_finished_once_and_can_be_opened_again(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_planned_job(session, is_agreed=True)
    first = list_stages(session, job.id)[0]
    begin_stage(session, owner, now, first.id)
    end_stage(session, owner, now, first.id)
    with pytest.raises(Conflict):
        end_stage(session, owner, now, first.id)
    with pytest.raises(RuleBroken, match="done"):
        change_stage(session, owner, now, first.id, planned_minutes=5, why="x")
    assert reopen_stage(session, owner, now, first.id).finished_at is None


def test_an_agreed_stage_changes_only_with_a_reason_and_the_agreed_version_stays(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_planned_job(session, is_agreed=True)
    version, pull = last_version(session, job.id), stage_coded(session, job, "pull")
    agreed_to = find_version(session, job.id, version)
    assert agreed_to is not None
    was = agreed_to.body
    with pytest.raises(RuleBroken) as refused:
        change_stage(session, owner, now, pull.id, planned_minutes=120)
    assert refused.value.field == "why"
    session.expire(pull)
    change_stage(session, owner, now, pull.id, planned_minutes=120, why="rust behind it")
    assert agreed_to.body == was
    newest = find_version(session, job.id)
    assert newest is not None
    assert newest.version == version + 1
    assert {each["minutes"] for each in json.loads(newest.body)["stages"] if each["id"] == pull.id} == {120}


def test_a_stale_plan_page_is_refused(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    version, pull = last_version(session, job.id), stage_coded(session, job, "pull")
    change_stage(session, owner, now, pull.id, planned_minutes=50, version=version)
    with pytest.raises(Conflict):
        change_stage(session, owner, now, pull.id, planned_minutes=60, version=version)


def test_a_press_that_changes_nothing_writes_no_version(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    pull = stage_coded(session, job, "pull")
    before = last_version(session, job.id)
    change_stage(session, owner, now, pull.id, planned_minutes=pull.planned_minutes, name=pull.name, skill=pull.skill)
    assert last_version(session, job.id) == before


@pytest.mark.parametrize("minutes", [-1, 10_001])
def test_impossible_hours_are_refused(session: Session, owner: Actor, now: datetime, minutes: int) -> None:
    job = make_planned_job(session)
    with pytest.raises(RuleBroken, match="hours"):
        change_stage(session, owner, now, stage_coded(session, job, "pull").id, planned_minutes=minutes)


def test_an_added_stage_stands_between_and_everything_waits_for_it(
    session: Session, owner: Actor, now: datetime
) -> None:
    job = make_planned_job(session)
    prime, block = stage_coded(session, job, "prime"), stage_coded(session, job, "block")
    added = add_stage(session, owner, now, job.id, name="Seal", skill="body", minutes=20, after_stage_id=prime.id)
    stages = list_stages(session, job.id)
    assert [stage.id for stage in stages].index(added.id) == [stage.id for stage in stages].index(prime.id) + 1
    assert [each.after_id for each in get_stage(session, block.id).after] == [added.id]
    draft_plan(session, owner, now, job.id)
    assert added.id in {stage.id for stage in list_stages(session, job.id)}


def test_moving_turns_who_waits_for_whom_round(session: Session, owner: Actor, now: datetime) -> None:
    job = make_job(session)
    one, two = make_stage(session, job, "One"), make_stage(session, job, "Two")
    move_stage(session, owner, now, two.id, -1)
    assert [stage.id for stage in list_stages(session, job.id)] == [two.id, one.id]
    assert [each.after_id for each in get_stage(session, one.id).after] == [two.id]
    assert get_stage(session, two.id).after == []


def test_clear_cannot_be_moved_under_primer(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    stages = list_stages(session, job.id)
    codes = [stage.code for stage in stages]
    up = codes.index("base_clear") - codes.index("prime")
    with pytest.raises(RuleBroken, match="lies on"):
        move_stage(session, owner, now, stage_coded(session, job, "base_clear").id, -up)


def test_a_changed_amount_is_kept_as_touched(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    fill = stage_coded(session, job, "fill")
    use = next(each for each in fill.uses if each.role == "filler")
    change_use(session, owner, now, use.id, amount_thousandths=80_000)
    draft_plan(session, owner, now, job.id)
    kept = next(each for each in get_stage(session, fill.id).uses if each.role == "filler")
    assert (kept.amount_thousandths, kept.is_touched) == (80_000, True)
    with pytest.raises(RuleBroken):
        change_use(session, owner, now, use.id, amount_thousandths=-1)


def test_a_passed_window_adds_its_stage_once(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, is_agreed=True)
    first = list_stages(session, job.id)[0]
    first.not_after_minutes, first.adds_stage = 60, "scuff_primer"
    begin_stage(session, owner, now, first.id)
    end_stage(session, owner, now, first.id)
    assert add_passed_window_stage(session, owner, now + timedelta(minutes=60), first.id) is None
    added = add_passed_window_stage(session, owner, now + timedelta(minutes=61), first.id)
    assert added is not None
    assert (added.code, added.purpose) == ("scuff_primer", "rework")
    assert add_passed_window_stage(session, owner, now + timedelta(hours=9), first.id) is None


def test_colder_weather_is_kept_and_stretches_the_waits(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    before = stage_coded(session, job, "prime").not_before_minutes
    keep_conditions(session, owner, now, job.id, temperature_tenths=150)
    assert stage_coded(session, job, "prime").not_before_minutes > before
    keep_conditions(session, owner, now, job.id, temperature_tenths=None)
    assert stage_coded(session, job, "prime").not_before_minutes == before


def test_an_accepted_warning_is_kept_with_its_words(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    for _ in range(2):
        accept_warning(session, owner, now, job.id, "cold", "It is cold.")
    assert json.loads(job.accepted_warnings) == [["cold", "It is cold."]]


def test_versions_come_newest_first_and_say_why(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session)
    change_stage(session, owner, now, stage_coded(session, job, "pull").id, planned_minutes=70, why="deeper")
    assert [(each.version, each.why) for each in list_versions(session, job.id)] == [
        (2, "Changed Pull and tap level: deeper"),
        (1, "drafted"),
    ]


def test_the_plan_of_a_car_that_went_stays_as_it_was(session: Session, owner: Actor, now: datetime) -> None:
    job = make_planned_job(session, is_agreed=True)
    mark_handed_over(session, owner, now, job)
    with pytest.raises(RuleBroken, match="over"):
        add_stage(session, owner, now, job.id, name="More", skill="body", minutes=5)


def test_planned_hours_are_the_sum_of_the_stages(session: Session) -> None:
    job = make_planned_job(session, *DOORS)
    hours = hours_of(session, [job.id])[job.id]
    assert hours.planned_minutes == sum(stage.planned_minutes for stage in list_stages(session, job.id))
    assert (hours.used_minutes, hours.to_come_minutes) == (0, hours.planned_minutes)


def test_a_stage_waits_for_its_part_and_for_no_part_of_another_job(
    session: Session, owner: Actor, now: datetime
) -> None:
    job, other = make_planned_job(session), make_job(session)
    lamp, foreign = (add_part(session, owner, now, each.id, name="lamp") for each in (job, other))
    refit = stage_coded(session, job, "refit")
    change_stage(session, owner, now, refit.id, part_id=lamp.id)
    assert get_stage(session, refit.id).waits_for_part_id == lamp.id
    with pytest.raises(RuleBroken, match="another job"):
        change_stage(session, owner, now, refit.id, part_id=foreign.id)


def test_a_price_follows_the_cost_until_it_is_typed(session: Session, owner: Actor, now: datetime) -> None:
    job = make_job(session)
    lamp = add_part(session, owner, now, job.id, name="lamp", cost_minor=10_000)
    assert lamp.price_minor == 12_500
    part_came(session, owner, now, lamp.id, cost_minor=12_000)
    assert (lamp.price_minor, lamp.came_on) == (15_000, now.date())
    fee = add_part(session, owner, now, job.id, name="disposal", kind="fee", cost_minor=300)
    assert fee.price_minor == 300


def test_a_part_that_came_is_sent_back_before_it_is_struck(session: Session, owner: Actor, now: datetime) -> None:
    job = make_job(session)
    lamp = add_part(session, owner, now, job.id, name="lamp", cost_minor=10_000)
    with pytest.raises(RuleBroken, match="not come yet"):
        send_part_back(session, owner, now, lamp.id)
    part_came(session, owner, now, lamp.id)
    with pytest.raises(RuleBroken, match="send it back"):
        strike_part(session, owner, now, lamp.id)
    send_part_back(session, owner, now, lamp.id)
    assert lamp.credit_came_at is None
    send_part_back(session, owner, now, lamp.id)
    assert lamp.credit_came_at == now


@pytest.mark.parametrize(("name", "cost"), [("", 100), ("lamp", -1)])
def test_a_part_without_a_name_or_below_nought_is_refused(
    session: Session, owner: Actor, now: datetime, name: str, cost: int
) -> None:
    with pytest.raises(RuleBroken):
        add_part(session, owner, now, make_job(session).id, name=name, cost_minor=cost)

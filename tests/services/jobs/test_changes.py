"""The plan changed by hand: stages added and moved, amounts, windows, weather, warnings, versions."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.floor.windows import list_passed_windows
from shopbook.queries.jobs.plans import get_stage, list_stages, list_versions
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import draft_plan, keep_conditions
from shopbook.services.jobs.leaving import mark_handed_over
from shopbook.services.jobs.order import add_passed_window_stage, move_stage
from shopbook.services.jobs.parts import add_part
from shopbook.services.jobs.plan_warnings import accept_warning
from shopbook.services.jobs.plans import add_stage, change_stage
from shopbook.services.jobs.uses import change_use
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import begin_stage, end_stage, job_sheet
from tests.makers.floor import make_wait
from tests.makers.jobs import make_job, make_planned_job, make_stage

DOORS = ("right_front_door", "right_rear_door")


def stage_coded(session: Session, job: Job, code: str) -> Stage:
    return next(stage for stage in list_stages(session, job.id) if stage.code == code)


def test_an_added_stage_stands_between_and_everything_waits_for_it(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session)
    prime, block = stage_coded(session, job, "prime"), stage_coded(session, job, "block")
    added = add_stage(act, job.id, name="Seal", skill="body", minutes=20, after_stage_id=prime.id)
    stages = list_stages(session, job.id)
    assert [stage.id for stage in stages].index(added.id) == [stage.id for stage in stages].index(prime.id) + 1
    assert [each.after_id for each in get_stage(session, block.id).after] == [added.id]
    draft_plan(act, job.id)
    assert added.id in {stage.id for stage in list_stages(session, job.id)}


def test_moving_turns_who_waits_for_whom_round(session: Session, act: Act) -> None:
    job = make_job(session)
    one, two = make_stage(session, job, "One"), make_stage(session, job, "Two")
    move_stage(act, two.id, -1)
    assert [stage.id for stage in list_stages(session, job.id)] == [two.id, one.id]
    assert [each.after_id for each in get_stage(session, one.id).after] == [two.id]
    assert get_stage(session, two.id).after == []


def test_clear_cannot_be_moved_under_primer(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stages = list_stages(session, job.id)
    codes = [stage.code for stage in stages]
    up = codes.index("base_clear") - codes.index("prime")
    with pytest.raises(RuleBroken, match="goes on top of"):
        move_stage(act, stage_coded(session, job, "base_clear").id, -up)


def test_a_changed_amount_is_kept_as_touched(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    job = make_planned_job(session)
    fill = stage_coded(session, job, "fill")
    use = next(each for each in fill.uses if each.role == "filler")
    change_use(act, use.id, amount_thousandths=80_000)
    draft_plan(act, job.id)
    kept = next(each for each in get_stage(session, fill.id).uses if each.role == "filler")
    assert (kept.amount_thousandths, kept.is_touched) == (80_000, True)
    with pytest.raises(RuleBroken):
        change_use(act, use.id, amount_thousandths=-1)


def test_a_passed_window_puts_its_stage_in_front_of_the_next_coat_once(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    there = list_stages(session, job.id)
    prime = next(stage for stage in there if stage.code == "prime")
    first = there[there.index(prime) - 1]
    make_wait(session, first, 0, 60, adds="scuff_primer")
    begin_stage(act, first.id)
    end_stage(act, first.id)
    assert list_passed_windows(session, now + timedelta(minutes=60)) == []
    (passed,) = list_passed_windows(session, now + timedelta(minutes=61))
    assert (passed.stage_id, passed.layer_id) == (prime.id, first.id)
    added = add_passed_window_stage(Act(session, owner, now + timedelta(minutes=61)), passed)
    assert added is not None
    assert (added.code, added.purpose) == ("scuff_primer", "rework")
    after = {one.id: one for one in list_stages(session, job.id)}
    assert [each.after_id for each in after[prime.id].after] == [added.id]
    assert added.position == after[prime.id].position - 1
    assert list_passed_windows(session, now + timedelta(hours=9)) == []


def test_colder_weather_is_kept_and_stretches_the_waits(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    before = stage_coded(session, job, "prime").not_before_minutes
    keep_conditions(act, job.id, temperature_tenths=150)
    assert stage_coded(session, job, "prime").not_before_minutes > before
    keep_conditions(act, job.id, temperature_tenths=None)
    assert stage_coded(session, job, "prime").not_before_minutes == before


def test_an_accepted_warning_is_kept_with_its_words(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    for _ in range(2):
        accept_warning(act, job.id, "cold", "It is cold.")
    assert job.accepted_warnings == [["cold", "It is cold."]]


def test_versions_come_newest_first_and_say_why(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    change_stage(act, stage_coded(session, job, "pull").id, planned_minutes=70, why="deeper")
    assert [(each.version, each.why) for each in list_versions(session, job.id)] == [
        (2, "Changed Pull and level the metal: deeper"),
        (1, "drafted"),
    ]


def test_the_plan_of_a_car_that_went_stays_as_it_was(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    mark_handed_over(act, job)
    with pytest.raises(RuleBroken, match="closed"):
        add_stage(act, job.id, name="More", skill="body", minutes=5)


def test_planned_hours_are_the_sum_of_the_stages(session: Session, now: datetime) -> None:
    job = make_planned_job(session, *DOORS)
    hours = job_sheet(session, job, now).hours
    assert hours.planned_minutes == sum(stage.planned_minutes for stage in list_stages(session, job.id))
    assert (hours.used_minutes, hours.to_come_minutes) == (0, hours.planned_minutes)


def test_a_stage_waits_for_its_part_and_for_no_part_of_another_job(session: Session, act: Act) -> None:
    job, other = make_planned_job(session), make_job(session)
    lamp, foreign = (add_part(act, each.id, name="lamp") for each in (job, other))
    refit = stage_coded(session, job, "refit")
    change_stage(act, refit.id, part_id=lamp.id)
    assert get_stage(session, refit.id).waits_for_part_id == lamp.id
    with pytest.raises(RuleBroken, match="another job"):
        change_stage(act, refit.id, part_id=foreign.id)

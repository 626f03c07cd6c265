"""No edit silently lowers hours, coats, drying or materials of work that was agreed: the answer and the log say it."""

from collections.abc import Callable

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, PlanVersion, Stage
from shopbook.models.shop import LogLine
from shopbook.queries.jobs.plans import find_version, get_stage, last_version, list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import draft_plan, keep_conditions
from shopbook.services.jobs.jobs import mark_agreed
from shopbook.services.jobs.plans import change_stage, restore_stage, strike_stage
from shopbook.services.jobs.uses import change_mix, change_use, remove_use
from shopbook.trade.planning.remixing import MixChange
from tests.makers.jobs import make_damage, make_planned_job
from tests.makers.shop import STARTED

WHY = "asked by phone"


def stage_coded(session: Session, job: Job, code: str) -> Stage:
    return next(stage for stage in list_stages(session, job.id) if stage.code == code)


def logged(session: Session) -> list[str]:
    session.flush()
    return list(session.scalars(select(LogLine.words).where(LogLine.act == "lower_agreed").order_by(LogLine.id)))


def told(act: Act) -> list[str]:
    """What the answer says, each sentence also a line of the log."""
    assert logged(act.session) == act.told
    return act.told


def dry(act: Act, stage: Stage, hours: int) -> None:
    change_stage(act, stage.id, not_before_minutes=hours * 60, why=WHY)


def old_version(session: Session, job: Job) -> PlanVersion:
    """The plan as the version before kept it: no waits of coats and no coats of mixes."""
    newest = find_version(session, job.id)
    assert newest is not None
    stages = [{k: v for k, v in each.items() if k not in {"waits", "mixes"}} for each in newest.body["stages"]]
    body = {name: kept for name, kept in newest.body.items() if name != "form"} | {"stages": stages}
    return PlanVersion(job_id=job.id, version=newest.version + 1, why="drafted", body=body, at=STARTED)


@pytest.fixture
def job(session: Session, act: Act) -> Job:
    """Approved with 1.5 h of pulling, and a clear of 2 coats that dries 16 h."""
    made = make_planned_job(session)
    dry(act, stage_coded(session, made, "base_clear"), 16)
    change_stage(act, stage_coded(session, made, "pull").id, planned_minutes=90)
    mark_agreed(session, STARTED, made, ["right_front_door"])
    return made


def test_hours_lowered_say_old_and_new(session: Session, act: Act, job: Job) -> None:
    change_stage(act, stage_coded(session, job, "pull").id, planned_minutes=30, why=WHY)
    assert told(act) == ["Pull and level the metal is now planned at 0.5 h, 1.5 h were agreed."]


def test_drying_typed_by_hand_below_what_was_agreed_says_old_and_new(session: Session, act: Act, job: Job) -> None:
    stage = stage_coded(session, job, "base_clear")
    dry(act, stage, 4)
    assert f"The clear of {stage.name} now dries 4 h, 16 h were agreed." in told(act)


def test_raised_above_the_agreed_and_back_to_it_is_not_lowered_and_below_names_the_agreed_figure(
    session: Session, act: Act, job: Job
) -> None:
    stage = stage_coded(session, job, "base_clear")
    for hours in (20, 18, 16):
        dry(act, stage, hours)
    assert told(act) == []
    dry(act, stage, 4)
    many = len(told(act))
    assert many > 0
    dry(act, stage, 8)
    assert len(told(act)) == many
    dry(act, stage, 6)
    assert told(act)[-1] == f"The clear of {stage.name} now dries 6 h, 16 h were agreed."


def test_fewer_coats_and_a_smaller_area_say_old_and_new(session: Session, act: Act, job: Job) -> None:
    stage = stage_coded(session, job, "base_clear")
    mix = next(each for each in stage.mixes if each["code"] == "clear_medium")
    area = mix["area_cm2"]
    change_mix(act, stage.id, "clear_medium", MixChange(coats=1), WHY)
    assert told(act)[-1] == f"{mix['name']} now has 1 coat, {mix['coats']} were agreed."
    change_mix(act, stage.id, "clear_medium", MixChange(area_cm2=5_000), WHY)
    assert told(act)[-1] == f"{mix['name']} now covers 0.50 m², {area / 10_000:.2f} m² were agreed."


def test_a_stage_removed_says_its_hours_and_restored_says_nothing(session: Session, act: Act, job: Job) -> None:
    stage = stage_coded(session, job, "pull")
    strike_stage(act, stage.id)
    said = ["Pull and level the metal is removed, 1.5 h were agreed."]
    assert told(act) == said
    restore_stage(act, stage.id)
    assert told(act) == said


@pytest.mark.parametrize("remove", [remove_use, lambda act, key: change_use(act, key, amount_thousandths=0)])
def test_a_material_removed_or_set_to_zero_is_named(
    session: Session, act: Act, job: Job, remove: Callable[[Act, int], object]
) -> None:
    stage = stage_coded(session, job, "fill")
    use = next(each for each in stage.uses if each.role == "filler")
    remove(act, use.id)
    (said,) = told(act)
    assert said.startswith(f"{stage.name} now goes without ")
    assert "filler" in said.lower()
    assert said.endswith(", which was agreed.")


def test_a_new_draft_lowers_nothing_of_what_was_agreed(session: Session, act: Act, job: Job) -> None:
    def figures() -> list[object]:
        return [
            (each.id, each.planned_minutes, each.coat_waits, [mix.get("coats") for mix in each.mixes])
            for each in list_stages(session, job.id)
            if each.agreed_at
        ]

    before = figures()
    draft_plan(act, job.id)
    keep_conditions(act, job.id, clear_coats=1, base_coats=1, temperature_tenths=400)
    make_damage(session, job, "right_rear_door")
    draft_plan(act, job.id)
    assert figures() == before
    assert told(act) == []


def test_work_that_nobody_approved_is_lowered_without_a_word(session: Session, act: Act) -> None:
    made = make_planned_job(session)
    change_stage(act, stage_coded(session, made, "pull").id, planned_minutes=6)
    strike_stage(act, stage_coded(session, made, "polish").id)
    assert told(act) == []


def test_an_approved_plan_kept_in_an_older_form_is_kept_anew_before_its_first_change(
    session: Session, act: Act
) -> None:
    job = make_planned_job(session)
    dry(act, stage_coded(session, job, "base_clear"), 16)
    session.add(old_version(session, job))
    mark_agreed(session, STARTED, job, ["right_front_door"])
    version, stage = last_version(session, job.id), stage_coded(session, job, "base_clear")
    dry(act, get_stage(session, stage.id), 4)
    assert f"The clear of {stage.name} now dries 4 h, 16 h were agreed." in told(act)
    assert last_version(session, job.id) == version + 2

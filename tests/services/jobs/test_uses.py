"""What a stage uses, changed by hand: a mix as a whole, a part alone, a material added or removed."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.models.shop import LogLine
from shopbook.queries.floor.rows import say_uses
from shopbook.queries.jobs.mixes import PlannedMix, planned_mixes
from shopbook.queries.jobs.plans import get_stage, list_stages, list_versions
from shopbook.services.act import Act
from shopbook.services.jobs.uses import add_use, change_mix, change_use, remove_use
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.remixing import MixChange
from tests.makers.jobs import make_planned_job
from tests.makers.shelf import make_material


def base_clear(session: Session, job: Job) -> Stage:
    return next(stage for stage in list_stages(session, job.id) if stage.code == "base_clear")


def clear_of(session: Session, stage: Stage) -> PlannedMix:
    session.expire_all()
    mixes = planned_mixes(get_stage(session, stage.id), {}, own_catalogue())
    return next(mix for mix in mixes if mix.code == "clear_medium")


def parts_of(session: Session, stage: Stage) -> list[StageUse]:
    return [use for use in get_stage(session, stage.id).uses if use.mix == "clear_medium"]


def last_log(session: Session) -> str:
    return str(session.scalars(select(LogLine.words).order_by(LogLine.id.desc()).limit(1)).one())


def test_a_mix_changed_as_a_whole_is_one_figure_on_plan_floor_and_version(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stage = base_clear(session, job)
    change_mix(act, stage.id, "clear_medium", MixChange(total_thousandths=600_000))
    mix = clear_of(session, stage)
    assert (mix.total_ml, mix.ratio, [line.part_thousandths_ml for line in mix.lines]) == (
        600, "2 : 1", [400_000, 200_000],
    )  # fmt: skip
    assert "600 ml" in say_uses(get_stage(session, stage.id))
    body = next(each for each in list_versions(session, job.id)[0].body["stages"] if each["id"] == stage.id)
    assert [use[1] for use in body["uses"] if use[3] == "clear_medium"] == [400_000, 200_000]
    assert "now 600 ml 2 : 1." in last_log(session)


def test_a_part_changed_alone_heads_the_mix_by_its_true_ratio_and_is_logged(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stage = base_clear(session, job)
    change_mix(act, stage.id, "clear_medium", MixChange(total_thousandths=600_000))
    change_use(act, parts_of(session, stage)[1].id, amount_thousandths=177_000)
    mix = clear_of(session, stage)
    assert (mix.total_ml, mix.ratio) == (577, "2 : 0.885")
    assert "(190 to 210 ml)" in mix.warnings[0]
    assert "600 ml 2 : 1, now 577 ml 2 : 0.885." in last_log(session)
    assert "(190 to 210 ml)" in last_log(session)
    assert "577 ml" in say_uses(get_stage(session, stage.id))


def test_coats_of_a_mix_change_its_steps_and_fewer_of_an_approved_one_ask_for_a_reason(
    session: Session, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    stage = base_clear(session, job)
    was = clear_of(session, stage).total_thousandths
    change_mix(act, stage.id, "clear_medium", MixChange(coats=3))
    more = clear_of(session, stage)
    assert more.total_thousandths > was
    assert more.coats == 3
    with pytest.raises(RuleBroken) as broken:
        change_mix(act, stage.id, "clear_medium", MixChange(coats=2))
    assert broken.value.field == "why"
    change_mix(act, stage.id, "clear_medium", MixChange(coats=2), "one panel less")
    assert clear_of(session, stage).total_thousandths == was


def test_a_material_is_added_to_any_stage_and_removed_again(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stage = list_stages(session, job.id)[0]
    own = make_material(session, "Glass cleaner", role="")
    had = len(get_stage(session, stage.id).uses)
    use = add_use(act, stage.id, own.id, 50_000, why="film on the screen")
    assert last_log(session) == f"Added 50 ml Glass cleaner to {stage.name}: film on the screen"
    body = list_versions(session, job.id)[0].body["stages"][0]
    assert len(body["uses"]) == had + 1
    with pytest.raises(RuleBroken, match="there already"):
        add_use(act, stage.id, own.id, 10_000)
    remove_use(act, use.id)
    session.expire_all()
    assert len(get_stage(session, stage.id).uses) == had
    assert len(list_versions(session, job.id)[0].body["stages"][0]["uses"]) == had


def test_a_material_added_to_a_mix_stands_in_its_ratio(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stage = base_clear(session, job)
    change_mix(act, stage.id, "clear_medium", MixChange(total_thousandths=600_000))
    own = make_material(session, "Flow agent", role="")
    add_use(act, stage.id, own.id, 20_000, mix="clear_medium")
    assert (clear_of(session, stage).total_ml, clear_of(session, stage).ratio) == (620, "2 : 1 : 0.1")

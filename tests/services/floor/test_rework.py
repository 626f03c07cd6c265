"""Rework has its own mixes: asked and prefilled, taken off the shelf when it is done, and told apart in the margin."""

from collections.abc import Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import Mix, MixShare
from shopbook.models.jobs import Job, PlanVersion, Stage
from shopbook.models.shelf import Material, Movement
from shopbook.queries.floor.stage import get_stage_view
from shopbook.queries.jobs.plans import get_stage, last_version, list_stages
from shopbook.queries.money.margins import job_margin
from shopbook.queries.shelf.needs import list_spoken_for
from shopbook.services.act import Act
from shopbook.services.floor.finishing import MixedInstead, Used, finish_stages
from shopbook.services.floor.troubles import Report, add_passed_windows, report_trouble
from shopbook.trade.permissions import Actor
from shopbook.trade.trouble.kinds import Defect, FoundIn
from tests.makers.floor import THURSDAY, at, make_painter, make_wait, make_work
from tests.makers.jobs import make_planned_job
from tests.makers.shelf import make_delivery, make_material
from tests.makers.shop import STARTED

DELIVERED = 5_000_000


def stocked(session: Session, *roles: str) -> dict[str, Material]:
    """Five litre cans of each on the shelf."""
    known = {role: make_material(session, role.capitalize(), role=role) for role in roles}
    for one in known.values():
        make_delivery(session, one, 5)
    return known


def sprayed(session: Session, *panels: str) -> tuple[Job, Stage]:
    """A job whose base and clear is laid, and that stage."""
    job = make_planned_job(session, *panels, is_agreed=True, at=STARTED)
    job.came_at = at("7:50")
    spray = next(stage for stage in list_stages(session, job.id) if stage.code == "base_clear")
    for stage in list_stages(session, job.id):
        if stage.position <= spray.position:
            stage.begun_at = stage.finished_at = at("8:00")
    return job, spray


def trouble(session: Session, who: Actor, stage: Stage, *panels: str) -> Sequence[Stage]:
    return report_trouble(
        Act(session, who, at("9:30")), stage.id, Report(Defect.FISH_EYE, FoundIn.CLEAR, panels=panels)
    )


def test_clear_that_is_laid_again_asks_for_its_own_mix_filled_in_and_waits_after_it(session: Session) -> None:
    dana = make_painter(session)
    _, spray = sprayed(session)
    added = {stage.code: stage for stage in trouble(session, dana, spray)}
    again = added["scuff_clear"]
    view = get_stage_view(session, again.id, dana, at("9:40"))
    (mix,) = view.mixes
    first = get_stage_view(session, spray.id, dana, at("9:40")).mixes[-1]
    assert mix.code == first.code
    assert 0 < mix.total_thousandths < first.total_thousandths
    assert [line.name for line in mix.lines] == [line.name for line in first.lines]
    assert view.cautions
    assert view.steps
    assert (again.purpose, again.wait_kind, again.not_before_minutes) == ("rework", "cure", 960)


def test_done_takes_the_mix_of_rework_off_the_shelf_and_the_margin_shows_it_as_rework(session: Session) -> None:
    dana, shelf = make_painter(session), stocked(session, "clear", "clear_activator")
    job, spray = sprayed(session)
    before = job_margin(session, job.id, THURSDAY).so_far
    again = next(stage for stage in trouble(session, dana, spray) if stage.code == "scuff_clear")
    planned = {use.role: use.amount_thousandths for use in again.uses if use.mix}
    finish_stages(Act(session, dana, at("10:30")), [again.id])
    mix = session.scalars(select(Mix).join(MixShare, MixShare.mix_id == Mix.id)).one()
    assert (mix.is_assumed, mix.total_thousandths) == (True, sum(planned.values()))
    for role in ("clear", "clear_activator"):
        assert shelf[role].on_hand_thousandths == DELIVERED - planned[role]
    after = job_margin(session, job.id, THURSDAY).so_far
    drawn = session.scalar(select(func.sum(Movement.value_minor)).where(Movement.stage_id == again.id))
    assert drawn
    assert after.rework_minor - before.rework_minor == -drawn
    assert after.materials_minor == before.materials_minor


def test_what_rework_will_take_is_spoken_for(session: Session) -> None:
    dana, shelf = make_painter(session), stocked(session, "clear")
    job, spray = sprayed(session)
    assert not any(one.material_id == shelf["clear"].id for one in list_spoken_for(session, THURSDAY))
    again = next(stage for stage in trouble(session, dana, spray) if stage.code == "scuff_clear")
    (need,) = [one for one in list_spoken_for(session, THURSDAY) if one.material_id == shelf["clear"].id]
    planned = sum(use.amount_thousandths for use in again.uses if use.role == "clear")
    assert (need.job_id, need.quantity_thousandths) == (job.id, planned)


def test_a_mix_of_rework_that_came_out_otherwise_is_kept_as_it_was(session: Session) -> None:
    dana, shelf = make_painter(session), stocked(session, "clear", "clear_activator")
    _, spray = sprayed(session)
    again = next(stage for stage in trouble(session, dana, spray) if stage.code == "scuff_clear")
    (mix,) = get_stage_view(session, again.id, dana, at("9:40")).mixes
    finish_stages(Act(session, dana, at("10:30")), [again.id], Used({mix.code: MixedInstead(90_000)}))
    assert session.scalars(select(Mix)).one().total_thousandths == 90_000
    assert sum(DELIVERED - each.on_hand_thousandths for each in shelf.values()) == 90_000


def test_only_the_panels_that_were_named_are_done_again(session: Session) -> None:
    dana = make_painter(session)
    _, spray = sprayed(session, "right_front_door", "bonnet")
    one = next(stage for stage in trouble(session, dana, spray, "bonnet") if stage.code == "scuff_clear")
    both = next(stage for stage in trouble(session, dana, spray) if stage.code == "scuff_clear")
    assert [each.panel for each in one.panels] == ["bonnet"]
    assert {each.panel for each in both.panels} == {"right_front_door", "bonnet"}
    assert sum(use.amount_thousandths for use in one.uses if use.mix) < sum(
        use.amount_thousandths for use in both.uses if use.mix
    )


def test_a_passed_window_between_base_and_clear_brings_its_thin_coat_of_base(session: Session) -> None:
    job, spray = sprayed(session)
    make_wait(session, spray, 0, 30, adds="scuff_base")
    make_work(session, "Clear", job=job, after_stage_id=spray.id, code="base_clear", panels=["right_front_door"])
    (added,) = add_passed_windows(session, at("11:00"))
    assert added.code == "scuff_base"
    assert {use.mix for use in get_stage(session, added.id).uses if use.mix} == {"base_solvent"}
    assert add_passed_windows(session, at("11:05")) == []


def test_what_the_plan_still_holds_is_not_added_a_second_time(session: Session) -> None:
    dana = make_painter(session)
    job, spray = sprayed(session)
    # What is to be polished is polished once; it stands behind the unmasking, and is masked and unmasked again.
    assert [stage.code for stage in trouble(session, dana, spray)] == ["mask", "scuff_clear", "unmask"]
    for stage in list_stages(session, job.id):
        stage.begun_at = stage.finished_at = at("9:00")
    assert [stage.code for stage in trouble(session, dana, spray)] == ["mask", "scuff_clear", "unmask", "polish"]


def test_a_run_in_primer_is_blocked_although_blocking_is_to_come(session: Session) -> None:
    dana = make_painter(session)
    job = make_planned_job(session, is_agreed=True, at=STARTED)
    prime = next(stage for stage in list_stages(session, job.id) if stage.code == "prime")
    added = report_trouble(Act(session, dana, at("9:30")), prime.id, Report(Defect.RUN, FoundIn.PRIMER))
    assert [stage.code for stage in added] == ["block"]


def test_trouble_seen_on_a_stage_without_panels_is_mended_where_the_car_was_painted(session: Session) -> None:
    dana = make_painter(session)
    job, _ = sprayed(session)
    check = next(stage for stage in list_stages(session, job.id) if stage.code == "hand_over")
    assert not check.panels
    again = next(stage for stage in trouble(session, dana, check) if stage.code == "scuff_clear")
    assert [each.panel for each in again.panels] == ["right_front_door"]
    assert any(use.mix for use in again.uses)


def test_rework_of_several_stages_is_one_version_of_the_plan(session: Session) -> None:
    dana = make_painter(session)
    job, spray = sprayed(session)
    before = last_version(session, job.id)
    added = trouble(session, dana, spray)
    assert len(added) > 1
    assert last_version(session, job.id) == before + 1
    kept = session.scalars(select(PlanVersion.body).where(PlanVersion.job_id == job.id).order_by(PlanVersion.version))
    assert len(list(kept)[-1]["stages"]) == len(list_stages(session, job.id, with_struck=True))

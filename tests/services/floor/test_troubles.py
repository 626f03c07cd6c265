"""Trouble and its rework, passed windows, stages begun on the floor, spray records, calls that customers want."""

from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import Trouble
from shopbook.models.jobs import Job
from shopbook.queries.floor.spoken import list_calls_wanted
from shopbook.queries.floor.sprays import list_colour_records
from shopbook.queries.floor.stage import get_stage_view
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.floor.spoken import note_called, note_wants_call
from shopbook.services.floor.sprays import keep_spray_record
from shopbook.services.floor.troubles import Report, add_own_stage, add_passed_windows, report_trouble, settle_floor
from shopbook.services.jobs.plans import strike_stage
from shopbook.trade.air.spray_record import Spraying
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.trouble.kinds import Defect, FoundIn
from tests.asking import list_running_waits
from tests.makers.floor import THURSDAY, at, make_painter, make_wait, make_work
from tests.makers.jobs import make_planned_job


def test_fish_eyes_in_clear_add_the_stages_that_lay_it_again(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session, "Base and clear, one session", code="base_clear")
    polish = make_work(session, "Nib, polish", job=session.get_one(Job, stage.job_id), after_stage_id=stage.id)
    added = report_trouble(
        Act(session, dana, at("10:00")),
        stage.id,
        Report(Defect.FISH_EYE, FoundIn.CLEAR, "silicone or wax", "left edge"),
    )
    assert [one.code for one in added] == ["mask", "scuff_clear", "unmask", "polish"]
    assert {one.purpose for one in added} == {"rework"}
    assert {one.rework_of_id for one in added} == {stage.id}
    stages = {one.id: one for one in list_stages(session, stage.job_id)}
    assert [each.after_id for each in stages[polish.id].after] == [added[-1].id]
    kept = session.scalars(select(Trouble)).one()
    assert (kept.kind, kept.cause, kept.rework_stage_id) == ("fish_eye", "silicone or wax", added[0].id)


def test_a_car_called_ready_is_not_any_more(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session, "Nib, polish")
    job = session.get_one(Job, stage.job_id)
    job.ready_at = at("9:00")
    report_trouble(Act(session, dana, at("10:00")), stage.id, Report(Defect.RUN, FoundIn.CLEAR))
    assert job.ready_at is None


def test_rework_says_why_in_the_words_of_the_country(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    added = report_trouble(Act(session, dana, at("10:00")), stage.id, Report(Defect.COLOUR_OFF, FoundIn.BASE))
    assert added[0].added_why == f"Color mismatch on {stage.name}"


def test_a_trouble_that_cannot_be_in_that_coat_is_refused(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    with pytest.raises(RuleBroken, match="Choose the coat"):
        report_trouble(Act(session, dana, at("10:00")), stage.id, Report(Defect.COLOUR_OFF, FoundIn.PRIMER))


def test_a_passed_window_adds_its_stage_once(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session, "Etch the bare metal")
    job = session.get_one(Job, stage.job_id)
    make_wait(session, stage, 20, 480, adds="scuff_primer")
    follower = make_work(session, "Surfacer", job=job, after_stage_id=stage.id, code="prime")
    finish_stages(Act(session, dana, at("9:00")), [stage.id])
    assert add_passed_windows(session, at("9:00") + timedelta(hours=8)) == []
    (added,) = add_passed_windows(session, at("9:00") + timedelta(hours=9))
    assert (added.code, added.purpose) == ("scuff_primer", "rework")
    stages = {one.id: one for one in list_stages(session, job.id)}
    assert [each.after_id for each in stages[follower.id].after] == [added.id]
    assert settle_floor(session, at("9:00") + timedelta(hours=10)) == 0


def test_a_stage_struck_out_between_hides_neither_the_wait_nor_the_window(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session, "Etch the bare metal")
    job = session.get_one(Job, stage.job_id)
    make_wait(session, stage, 20, 480, adds="scuff_primer")
    between = make_work(session, "Seal", job=job, after_stage_id=stage.id)
    surfacer = make_work(session, "Surfacer", job=job, after_stage_id=between.id, code="prime")
    strike_stage(Act(session, dana, at("8:30")), between.id)
    finish_stages(Act(session, dana, at("9:00")), [stage.id])
    (wait,) = list_running_waits(session, at("9:05"))
    assert (wait.stage, wait.next_stage, wait.ready_at) == ("Etch the bare metal", "Surfacer", at("9:20"))
    assert wait.follower_ids == (surfacer.id,)
    late = at("9:00") + timedelta(hours=9)
    assert [added.code for added in add_passed_windows(session, late)] == ["scuff_primer"]
    assert add_passed_windows(session, late) == []


def test_work_begun_on_the_floor_needs_no_yes_and_nothing_waits_for_it(session: Session) -> None:
    dana = make_painter(session)
    job = make_planned_job(session)
    before = {each.id: {a.after_id for a in each.after} for each in list_stages(session, job.id)}
    look = add_own_stage(Act(session, dana, at("9:00")), job.id, "strip_and_look", note="behind the bumper")
    start_clock(Act(session, dana, at("9:00")), [look.id])
    after = {each.id: {a.after_id for a in each.after} for each in list_stages(session, job.id)}
    assert after == before | {look.id: set()}
    with pytest.raises(RuleBroken, match="what kind"):
        add_own_stage(Act(session, dana, at("9:00")), job.id, "plan")


def test_the_next_job_in_the_colour_shows_what_was_sprayed(session: Session) -> None:
    dana = make_painter(session)
    first, second = make_planned_job(session), make_planned_job(session)
    for job in (first, second):
        assert job.vehicle is not None
        job.vehicle.colour_code = "HB-4"
    stage = next(one for one in list_stages(session, first.id) if one.code == "base_clear")
    record = Spraying(THURSDAY, "", Paint.BASE_SOLVENT, 3, tip_mm=1.3, temperature_c=21.0, lots=("A17",))
    keep_spray_record(Act(session, dana, at("15:00")), stage.id, record)
    (kept,) = list_colour_records(session, "hb-4")
    assert (kept.coats, kept.tip_mm, kept.lots) == (3, 1.3, ("A17",))
    other = next(one for one in list_stages(session, second.id) if one.code == "base_clear")
    view = get_stage_view(session, other.id, dana, at("16:00"))
    assert [one.tip_mm for one in view.last_sprayed] == [1.3]


def test_a_spray_record_before_the_job_is_refused(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    record = Spraying(THURSDAY.replace(year=2020), "", Paint.CLEAR_MEDIUM, 2)
    with pytest.raises(RuleBroken, match="between the start of the job"):
        keep_spray_record(Act(session, dana, at("15:00")), stage.id, record)


def test_a_wanted_call_stands_until_somebody_called(session: Session, owner: Actor) -> None:
    stage = make_work(session)
    note_wants_call(Act(session, owner, at("9:00")), stage.job_id, "about the mirror")
    (wanted,) = list_calls_wanted(session)
    assert "about the mirror" in wanted.words
    note_called(Act(session, owner, at("10:00")), stage.job_id)
    assert list_calls_wanted(session) == []

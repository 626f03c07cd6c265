"""Base and clear in one session: a closed day between the two is warned of before the base is begun."""

from datetime import timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.trade.permissions import THE_PROGRAM
from tests.asking import begin_stage, end_stage, job_sheet
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job

FRIDAY = THURSDAY + timedelta(days=1)


def ready_for_colour(session: Session) -> tuple[Job, Stage]:
    """A car in the shop with everything before base and clear done on Thursday."""
    job = make_planned_job(session, is_agreed=True)
    job.came_at = at("7:50", THURSDAY - timedelta(days=4))
    session.flush()
    stages = list_stages(session, job.id)
    (colour,) = [stage for stage in stages if stage.code == "base_clear"]
    for stage in stages[: stages.index(colour)]:
        begin_stage(Act(session, THE_PROGRAM, at("8:00")), stage.id)
        end_stage(Act(session, THE_PROGRAM, at("9:00")), stage.id)
    return job, colour


def warned(session: Session, job: Job, clock: str) -> list[str]:
    sheet = job_sheet(session, job, at(clock, FRIDAY))
    return [each.sentence for each in sheet.open_warnings if each.code == "closed_day_between"]


def test_base_begun_late_on_friday_would_have_the_weekend_before_its_clear(session: Session) -> None:
    job, _ = ready_for_colour(session)
    assert warned(session, job, "9:00") == []
    (sentence,) = warned(session, job, "16:15")
    assert "closed between base and clear coat" in sentence


def test_once_it_is_begun_nothing_is_warned_of_any_more(session: Session) -> None:
    job, colour = ready_for_colour(session)
    begin_stage(Act(session, THE_PROGRAM, at("16:10", FRIDAY)), colour.id)
    assert warned(session, job, "16:15") == []


def test_work_that_is_days_away_is_left_to_the_promise(session: Session) -> None:
    job = make_planned_job(session, is_agreed=True)
    assert warned(session, job, "16:15") == []

"""Standards edited from a day: tomorrow's draft follows them, an agreed plan and what was drafted for it do not."""

from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.jobs.plans import find_version, list_stages
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import mark_agreed
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job

TODAY = at("10:00")
TOMORROW = TODAY + timedelta(days=1)


def hours_of_polish(session: Session, job: Job) -> int:
    return next(stage.planned_minutes for stage in list_stages(session, job.id) if stage.code == "polish")


def with_polish_of(session: Session, panel_minutes: int, now: datetime = TODAY) -> None:
    polish = catalogue_on(session, THURSDAY).stages["polish"]
    body = entry_body(polish) | {"panel_minutes": panel_minutes}
    set_standard(Act(session, THE_PROGRAM, now), "stage", "polish", body, THURSDAY + timedelta(days=1))


def test_a_change_from_tomorrow_is_in_tomorrows_draft_and_not_in_todays(session: Session) -> None:
    job = make_planned_job(session)
    before = hours_of_polish(session, job)
    with_polish_of(session, 120)
    draft_plan(Act(session, THE_PROGRAM, TODAY), job.id)
    assert hours_of_polish(session, job) == before
    draft_plan(Act(session, THE_PROGRAM, TOMORROW), job.id)
    assert hours_of_polish(session, job) == before + 100


def test_an_agreed_plan_keeps_the_standards_of_its_yes_however_often_it_is_drafted(session: Session) -> None:
    job = make_planned_job(session)
    mark_agreed(session, TODAY, job, ("right_front_door",))
    kept = find_version(session, job.id)
    assert kept is not None
    agreed, minutes = kept.body, hours_of_polish(session, job)
    with_polish_of(session, 120)
    draft_plan(Act(session, THE_PROGRAM, TOMORROW), job.id)
    assert hours_of_polish(session, job) == minutes
    assert planning_of(session, job, TOMORROW).catalogue.stages["polish"].panel_minutes == 20
    again = find_version(session, job.id, kept.version)
    assert again is not None
    assert again.body == agreed

"""One planned car in each of the states that a job passes, from booked in to paid."""

from collections.abc import Callable
from datetime import timedelta

from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import make_engine, transaction
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.doing import begin_stages, end_stages
from shopbook.services.jobs.jobs import check_in, plan_days
from shopbook.services.jobs.leaving import mark_ready, tell_ready
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.quotes import give_quote
from shopbook.trade.permissions import THE_PROGRAM
from tests.asking import still_to_pay
from tests.conftest import NOON
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import make_given_quote, make_kerb, make_quote, make_yes

BEFORE = NOON - timedelta(hours=3)
MORNING = BEFORE + timedelta(hours=1)


def here(session: Session, **given: object) -> Job:
    """A planned car that is here and promised for today."""
    job = make_planned_job(session, at=BEFORE, **given)  # type: ignore[arg-type]
    check_in(Act(session, THE_PROGRAM, BEFORE), job.id, revision=job.revision)
    return plan_days(Act(session, THE_PROGRAM, BEFORE), job.id, None, "", NOON.date(), "")


def booked(session: Session) -> Job:
    return here(session)


def drafted(session: Session) -> Job:
    job = here(session)
    make_quote(session, job, at=MORNING)
    return job


def given(session: Session) -> Job:
    job = here(session)
    quote = make_quote(session, job, at=MORNING)
    give_quote(Act(session, THE_PROGRAM, MORNING), quote.id, revision=quote.revision)
    return job


def sent(session: Session) -> Job:
    job = given(session)
    make_given_quote(session, job, at=MORNING)
    return job


def said(session: Session) -> Job:
    job = here(session)
    make_kerb(session, job, right_front_door=48_000)
    return job


def agreed(session: Session) -> Job:
    job = here(session)
    make_yes(session, make_given_quote(session, job, at=MORNING), at=MORNING)
    return job


def finished(session: Session) -> Job:
    job = agreed(session)
    stages = [stage for stage in list_stages(session, job.id) if stage.code != "hand_over"]
    begin_stages(Act(session, THE_PROGRAM, MORNING), stages)
    end_stages(Act(session, THE_PROGRAM, MORNING), stages)
    return job


def ready(session: Session) -> Job:
    job = finished(session)
    return mark_ready(Act(session, THE_PROGRAM, MORNING), job.id)


def told(session: Session) -> Job:
    return tell_ready(Act(session, THE_PROGRAM, MORNING), ready(session).id)


def invoiced(session: Session) -> Job:
    job = told(session)
    issue_invoice(Act(session, THE_PROGRAM, MORNING), job.id)
    return job


def paid(session: Session) -> Job:
    job = invoiced(session)
    owed = issued_sum(session, job)
    take_payment(Act(session, THE_PROGRAM, MORNING), job_id=job.id, amount_minor=owed, means="card")
    return job


def issued_sum(session: Session, job: Job) -> int:
    return still_to_pay(session, [job.id], NOON.date())[job.id]


def own(purpose: str) -> Callable[[Session], Job]:
    def made(session: Session) -> Job:
        return here(session, purpose=purpose)

    return made


def make_in(app: Flask, maker: Callable[[Session], Job]) -> int:
    """Make a job in the book of an app; answers its number."""
    engine = make_engine(app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as session, transaction(session):
        number = maker(session).number
    engine.dispose()
    return number

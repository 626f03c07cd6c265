"""The technician's list: what can be worked, in which order, and why the rest cannot yet."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.session import make_engine, transaction
from shopbook.queries.floor.clocks import list_running
from shopbook.queries.floor.day import get_day_sheet
from shopbook.queries.floor.entries import list_unagreed_work, time_by_stage
from shopbook.queries.floor.hours import day_sheets, list_unplaced_days, sum_by_person
from shopbook.queries.floor.spoken import list_calls_wanted
from shopbook.queries.floor.sprays import list_colour_records
from shopbook.queries.floor.stage import get_stage_view
from shopbook.queries.floor.windows import list_passed_windows
from shopbook.queries.floor.work import Work, list_work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.floor.spoken import note_wants_call
from shopbook.trade.floor.readiness import Hold
from shopbook.trade.permissions import Actor
from tests.asking import list_running_waits
from tests.house.test_query_plans import watching
from tests.makers import make_book
from tests.makers.floor import THURSDAY, at, make_open_job, make_painter, make_wait, make_work
from tests.makers.jobs import make_job

NOON = at("11:00")


def ready(work: Work) -> list[int]:
    return [row.stage_id for rows in work.ready.values() for row in rows]


def job_of(session: Session, stage: Stage) -> Job:
    return session.get_one(Job, stage.job_id)


def test_ready_work_stands_in_order_of_promise_and_half_day(session: Session) -> None:
    dana = make_painter(session)
    late, none, morning, afternoon = (make_work(session, f"Stage {n}") for n in range(4))
    for stage, days, half in ((late, 2, ""), (morning, 0, "morning"), (afternoon, 0, "afternoon")):
        job_of(session, stage).promise_on = THURSDAY + timedelta(days=days)
        job_of(session, stage).promise_half = half
    assert ready(list_work(session, dana, NOON)) == [morning.id, afternoon.id, late.id, none.id]


def test_the_persons_own_skills_come_first(session: Session) -> None:
    dana = make_painter(session)
    body, paint = make_work(session, "Pull", skill="body"), make_work(session, "Prime")
    work = list_work(session, dana, NOON)
    assert list(work.ready) == ["paint", "body"]
    assert ready(work) == [paint.id, body.id]


def test_what_waits_says_until_when_and_comes_up_when_the_wait_is_over(session: Session) -> None:
    dana, prime = make_painter(session), make_work(session, "Prime")
    make_wait(session, prime, 180)
    block = make_work(session, "Block", job=job_of(session, prime), after_stage_id=prime.id)
    finish_stages(Act(session, dana, at("9:00")), [prime.id])
    early = list_work(session, dana, at("11:59"))
    (row,) = early.not_yet
    assert (row.stage_id, row.readiness.holds, row.readiness.ready_at) == (block.id, (Hold.WAIT,), at("12:00"))
    assert [wait.stage for wait in early.waits] == ["Prime"]
    over = list_work(session, dana, at("12:00"))
    assert ready(over) == [block.id]
    assert over.waits == ()


def test_a_part_that_has_not_come_holds_its_stage_by_name(session: Session) -> None:
    dana, refit = make_painter(session), make_work(session, "Refit the wing liner")
    part = JobPart(
        job_id=refit.job_id, kind="part", name="wing liner", source="new",
        due_on=THURSDAY,
    )  # fmt: skip
    session.add(part)
    session.flush()
    refit.waits_for_part_id = part.id
    (row,) = list_work(session, dana, NOON).not_yet
    assert row.readiness.part is not None
    assert (row.readiness.sentence, row.readiness.part.due_on) == ("waiting for wing liner", THURSDAY)


def test_only_the_next_of_what_is_held_takes_a_line(session: Session) -> None:
    dana, job = make_painter(session), make_open_job(session)
    first = make_work(session, "First", job=job)
    second = make_work(session, "Second", job=job, after_stage_id=first.id)
    make_work(session, "Third", job=job, after_stage_id=second.id)
    assert list_work(session, dana, NOON).not_yet == ()
    start_clock(Act(session, dana, NOON), [first.id])
    assert [row.name for row in list_work(session, dana, NOON).not_yet] == ["Second"]


def test_a_car_that_is_to_come_today_is_shown_as_not_here(session: Session) -> None:
    dana, job = make_painter(session), make_job(session)
    job.drop_off_on = THURSDAY
    make_work(session, "Check in", job=job)
    tomorrow = make_job(session)
    tomorrow.drop_off_on = THURSDAY + timedelta(days=1)
    make_work(session, "Check in", job=tomorrow)
    (row,) = list_work(session, dana, NOON).not_yet
    assert (row.number, row.is_here) == (job.number, False)


def test_a_car_agreed_to_without_a_day_is_shown_as_not_here(session: Session) -> None:
    dana, quoted, agreed = make_painter(session), make_job(session), make_job(session)
    for job in (quoted, agreed):
        make_work(session, "Check in", job=job, is_agreed=job is agreed)
        job.came_at = job.drop_off_on = None
    quoted.agreed_at, agreed.agreed_at = None, NOON
    session.flush()
    (row,) = list_work(session, dana, NOON).not_yet
    assert (row.number, row.is_here) == (agreed.number, False)


def test_what_another_works_on_can_be_joined_and_what_runs_is_apart(session: Session) -> None:
    dana, sam, stage = make_painter(session), make_painter(session, "Sam"), make_work(session)
    start_clock(Act(session, sam, at("9:00")), [stage.id])
    (row,) = list_work(session, dana, NOON).ready["paint"]
    assert row.others == ("Sam",)
    own = list_work(session, sam, NOON)
    assert own.running is not None
    assert [each.stage_id for each in own.running.rows] == [stage.id]
    assert ready(own) == []
    assert [(one.person_id, one.stage_ids) for one in list_running(session)] == [(sam.person_id, (stage.id,))]


def test_work_without_a_yes_is_ready_and_flagged(session: Session, owner: Actor) -> None:
    make_work(session, is_agreed=False)
    (row,) = list_work(session, owner, NOON).ready["paint"]
    assert row.readiness.is_not_approved
    assert not row.is_refused


QUESTIONS: dict[str, Callable[[Session], object]] = {
    "work without a yes": list_unagreed_work,
    "waits": lambda session: list_running_waits(session, NOON),
    "passed windows": lambda session: list_passed_windows(session, NOON),
    "calls wanted": list_calls_wanted,
    "a colour's records": lambda session: list_colour_records(session, "HB 4"),
    "time by stage": lambda session: time_by_stage(session, [1]),
    "hours by person": lambda session: sum_by_person(session, day_sheets(session, THURSDAY, THURSDAY, NOON)),
    "unplaced days": lambda session: list_unplaced_days(ShopOn(session, THURSDAY), NOON),
}


@pytest.mark.parametrize("what", list(QUESTIONS))
def test_a_question_of_the_floor_finds_its_rows_by_an_index(session: Session, what: str) -> None:
    make_work(session)
    session.flush()
    engine = session.get_bind()
    assert isinstance(engine, Engine)
    with watching(engine) as watch:
        QUESTIONS[what](session)
    assert watch.statements
    assert watch.walks == {}


@pytest.mark.postgresql
def test_every_question_is_answered_the_same_by_postgresql(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        dana, stage = make_painter(session), make_work(session, is_agreed=False)
        start_clock(Act(session, dana, at("9:00")), [stage.id])
        finish_stages(Act(session, dana, at("9:30")))
        note_wants_call(Act(session, dana, at("9:40")), stage.job_id)
        make_work(session, "Nib, polish")
        assert [row.minutes for row in list_unagreed_work(session)] == [30]
        assert [row.name for row in list_work(session, dana, NOON).ready["paint"]] == ["Nib, polish"]
        assert get_stage_view(session, stage.id, dana, NOON).used_minutes == 30
        assert get_day_sheet(session, dana.person_id or 0, THURSDAY, NOON).sums.on_cars_minutes == 30
        for ask in QUESTIONS.values():
            ask(session)
        assert len(list_calls_wanted(session)) == 1
    engine.dispose()

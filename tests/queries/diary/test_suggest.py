"""The days that a job could have, against what is promised already."""

from datetime import timedelta
from itertools import pairwise

from sqlalchemy.orm import Session

from shopbook.models.shop import Place
from shopbook.queries.diary.suggest import suggest_for_draft
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.diary import add_absence
from shopbook.services.jobs.parts import add_part, order_part, part_came
from shopbook.trade.measures.days import DateForm
from shopbook.trade.permissions import THE_PROGRAM, Role
from shopbook.trade.planning.shapes import DraftPlan
from tests.asking import suggest_days
from tests.house.test_query_plans import watching
from tests.makers.diary import FRIDAY, MONDAY, make_hands, make_promised_job
from tests.makers.floor import THURSDAY, at, make_wait
from tests.makers.jobs import make_planned_job, make_stage
from tests.makers.plans import draft, make_damage
from tests.makers.shop import make_person

MORNING = at("7:30")


def test_a_suggestion_says_the_days_and_why(session: Session) -> None:
    make_hands(session)
    offered = suggest_days(session, make_planned_job(session).id, MORNING)
    assert offered.promise is not None
    assert offered.promise.drop_off_on == THURSDAY
    assert offered.promise.collect_on > THURSDAY
    assert offered.words(THURSDAY, DateForm.DAY_FIRST).startswith("Drop-off this morning, ready ")
    assert "has to dry" in offered.sentence


def test_what_is_promised_already_puts_a_new_car_off(session: Session) -> None:
    make_hands(session)
    job = make_planned_job(session)
    alone = suggest_days(session, job.id, MORNING).promise
    for _ in range(4):
        make_promised_job(session, "right_quarter", "bonnet", comes=THURSDAY, back=MONDAY, is_here=True)
    crowded = suggest_days(session, job.id, MORNING).promise
    assert alone is not None
    assert crowded is not None
    assert crowded.ready_at > alone.ready_at


def test_a_promise_is_measured_only_against_what_is_due_before_it(session: Session) -> None:
    make_hands(session)
    first = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    alone = suggest_days(session, first.id, MORNING).promise
    for _ in range(3):
        make_promised_job(session, "right_quarter", "bonnet", comes=THURSDAY, back=MONDAY, is_here=True)
    assert suggest_days(session, first.id, MORNING).promise == alone


def test_one_pair_of_hands_for_every_skill_is_not_counted_three_times(session: Session) -> None:
    make_person(session, "Ada", Role.OWNER, Role.TECHNICIAN)
    job = make_planned_job(session, "right_quarter", "bonnet")
    made = suggest_days(session, job.id, MORNING).promise
    assert made is not None
    spans = sorted((row.starts_at, row.ends_at) for row in made.stages if row.ends_at > row.starts_at)
    assert all(ends <= begins for (_, ends), (begins, _) in pairwise(spans))


def test_a_part_that_comes_later_holds_the_car_and_is_named(session: Session) -> None:
    sam, _ = make_hands(session)
    job = make_planned_job(session)
    soon = suggest_days(session, job.id, MORNING).promise
    part = add_part(Act(session, sam, MORNING), job.id, name="lamp", due_on=THURSDAY + timedelta(days=14))
    order_part(Act(session, sam, MORNING), part.id)
    list_stages(session, job.id)[-1].waits_for_part_id = part.id
    session.flush()
    offered = suggest_days(session, job.id, MORNING)
    assert offered.promise is not None
    assert soon is not None
    assert offered.promise.collect_on >= THURSDAY + timedelta(days=14) > soon.collect_on
    assert "waiting for lamp" in offered.sentence.lower()


def test_a_part_that_came_holds_nothing_up(session: Session) -> None:
    sam, _ = make_hands(session)
    job = make_promised_job(session, is_here=True)
    part = add_part(Act(session, sam, MORNING), job.id, name="lamp", due_on=THURSDAY)
    order_part(Act(session, sam, MORNING), part.id)
    list_stages(session, job.id)[0].waits_for_part_id = part.id
    session.flush()
    late = suggest_days(session, job.id, at("8:00"))
    part_came(Act(session, sam, at("8:00")), part.id)
    came = suggest_days(session, job.id, at("8:00"))
    assert "lamp" in late.sentence
    assert "lamp" not in came.sentence
    assert came.promise is not None
    assert late.promise is not None
    assert came.promise.collect_on <= late.promise.collect_on


def test_a_wait_that_runs_already_holds_what_follows(session: Session) -> None:
    make_hands(session)
    job = make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    stages = list_stages(session, job.id)
    for stage in stages[:-1]:
        stage.finished_at = MORNING
    make_wait(session, stages[-2], 26 * 60, kind="cure")
    offered = suggest_days(session, job.id, MORNING)
    assert offered.promise is not None
    assert offered.promise.stages[0].starts_at >= MORNING + timedelta(hours=26)
    assert offered.sentence.startswith("The paint has to cure")


def test_a_shop_without_a_yard_takes_no_car_while_its_bays_are_full(session: Session) -> None:
    make_hands(session)
    for place in session.query(Place).filter(~Place.is_bay):
        place.is_active = False
    for _ in range(2):
        make_promised_job(session, comes=THURSDAY, back=FRIDAY, is_here=True)
    offered = suggest_days(session, make_planned_job(session).id, MORNING)
    assert offered.promise is not None
    assert offered.promise.drop_off_on == MONDAY
    assert "No free place before Monday" in offered.sentence


def test_a_skill_that_nobody_has_is_said_instead_of_a_day(session: Session) -> None:
    make_person(session, "Sam", Role.TECHNICIAN, skills=("body",))
    offered = suggest_days(session, make_planned_job(session).id, MORNING)
    assert offered.promise is None
    assert "Nobody here does paint" in offered.sentence


def test_a_job_without_a_plan_says_so(session: Session) -> None:
    make_hands(session)
    job = make_planned_job(session)
    for stage in list_stages(session, job.id):
        stage.struck_at = MORNING
    session.flush()
    assert "Draft the plan first" in suggest_days(session, job.id, MORNING).sentence


def test_a_draft_at_the_kerb_gets_the_same_days_as_the_kept_plan(session: Session) -> None:
    make_hands(session)
    offered = suggest_for_draft(shop_at(session, MORNING), at_the_kerb(), MORNING)
    assert offered.promise is not None
    assert offered.promise.drop_off_on == THURSDAY
    assert len(offered.promise.stages) == len(at_the_kerb().stages)


def at_the_kerb() -> DraftPlan:
    return draft([make_damage(1)])


def test_the_number_of_statements_does_not_grow_with_promised_jobs(session: Session) -> None:
    make_hands(session)
    job = make_planned_job(session)

    def ask() -> int:
        session.flush()
        session.expire_all()
        with watching(session.get_bind()) as watch:  # type: ignore[arg-type]
            suggest_days(session, job.id, MORNING)
        assert watch.walks == {}
        return watch.statements

    make_promised_job(session, is_here=True)
    few = ask()
    for _ in range(4):
        make_promised_job(session, is_here=True)
        make_stage(session, make_promised_job(session, comes=FRIDAY, back=MONDAY))
    add_absence(Act(session, THE_PROGRAM, MORNING), person_id=1, first=FRIDAY, last=MONDAY)
    assert ask() == few

"""A job from the first call to the hand-over."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.base import Base
from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job, PlanVersion, Stage
from shopbook.models.shop import LogLine
from shopbook.queries.customers import find_anything
from shopbook.queries.jobs.jobs import Tab, find_sample, get_job, job_standing, list_jobs
from shopbook.queries.jobs.plans import list_stages
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import (
    call_off,
    change_job,
    check_in,
    keep_desk_facts,
    open_job,
    plan_days,
    take_up_again,
)
from shopbook.services.jobs.leaving import (
    mark_handed_over,
    mark_ready,
    mark_settled,
    mark_unsettled,
    take_ready_back,
    tell_ready,
)
from shopbook.services.jobs.parts import add_part
from shopbook.services.jobs.sample import make_sample_job, throw_sample_away
from shopbook.services.money.quotes import draft_quote, give_quote
from shopbook.services.postings import write_log
from shopbook.services.shop.book import go_on_with_numbers
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.standing import Standing
from tests.asking import begin_stage, count_jobs, end_stage
from tests.makers.customers import make_customer
from tests.makers.jobs import make_job, make_planned_job


def test_jobs_are_numbered_on_and_found_by_number(session: Session) -> None:
    first, second = make_job(session), make_job(session)
    assert second.number == first.number + 1
    assert {hit.job_id for hit in find_anything(session, str(second.number))} == {second.id}


def test_a_job_wants_somebody_or_a_car_and_a_line_of_what_is_wrong(session: Session, act: Act) -> None:
    with pytest.raises(RuleBroken, match="One is enough"):
        open_job(act, customer_id=None, vehicle_id=None, wrong="A dent")
    with pytest.raises(RuleBroken, match="what’s wrong"):
        open_job(act, customer_id=make_customer(session).id, vehicle_id=None, wrong="  ")


def test_a_refused_job_uses_no_number(session: Session, act: Act) -> None:
    before = make_job(session).number
    with pytest.raises(RuleBroken):
        open_job(act, customer_id=None, vehicle_id=None, wrong="A dent")
    assert make_job(session).number == before + 1


def test_checking_in_keeps_the_facts_and_the_first_moment(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_job(session)
    check_in(act, job.id, revision=job.revision, key_number="7", fuel="half", odometer=84120)
    later = now + timedelta(hours=2)
    check_in(Act(session, owner, later), job.id, revision=job.revision, key_number="8")
    assert (job.came_at, job.key_number) == (now, "8")


def test_two_desks_cannot_overwrite_each_other(session: Session, act: Act) -> None:
    job = make_job(session)
    keep_desk_facts(act, job.id, revision=1, key_number="7")
    with pytest.raises(Conflict):
        keep_desk_facts(act, job.id, revision=1, key_number="9")
    assert job.key_number == "7"


def test_an_odometer_that_none_shows_is_refused(session: Session, act: Act) -> None:
    job = make_job(session)
    for shown in (-1, 10_000_000):
        with pytest.raises(RuleBroken) as refused:
            keep_desk_facts(act, job.id, revision=job.revision, odometer=shown)
        assert refused.value.field == "odometer"


@pytest.mark.parametrize(
    ("days", "field"),
    [
        ((date(2026, 11, 1), "", None, ""), "drop_off_on"),
        ((date(2026, 11, 9), "", date(2026, 11, 8), ""), "promise_on"),
        ((None, "", date(2026, 11, 4), ""), "promise_on"),
        ((date(2026, 11, 9), "afternoon", date(2026, 11, 9), "morning"), "promise_half"),
    ],
)
def test_days_that_cannot_be_are_refused_by_their_field(
    session: Session, now: datetime, act: Act, days: tuple[date | None, str, date | None, str], field: str
) -> None:
    job = make_job(session, at=now)
    with pytest.raises(RuleBroken) as refused:
        plan_days(act, job.id, *days)
    assert refused.value.field == field


def test_a_half_day_without_its_day_is_dropped(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, at=now)
    plan_days(act, job.id, None, "morning", date(2026, 11, 6), "afternoon")
    assert (job.drop_off_half, job.promise_half) == ("", "afternoon")


def test_a_paid_job_is_not_ready_without_a_yes(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    with pytest.raises(RuleBroken, match="not approved yet"):
        mark_ready(act, job.id)


def test_goodwill_is_ready_without_a_yes(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, purpose="goodwill")
    assert mark_ready(act, job.id).ready_at == now


def test_open_stages_hold_ready_back_until_somebody_insists(session: Session, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    with pytest.raises(RuleBroken, match="Not finished: Check in, photos"):
        mark_ready(act, job.id)
    mark_ready(act, job.id, with_open_stages=True)
    assert job_standing(job) is Standing.READY


def test_a_car_is_told_ready_once_it_is_and_goes_back_into_work(session: Session, now: datetime, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    with pytest.raises(RuleBroken):
        tell_ready(act, job.id)
    for stage in list_stages(session, job.id):
        begin_stage(act, stage.id)
        end_stage(act, stage.id)
    mark_ready(act, job.id)
    assert tell_ready(act, job.id).told_ready_at == now
    take_ready_back(act, job.id)
    assert (job.told_ready_at, job_standing(job)) == (None, Standing.IN_WORK)


def test_handing_over_gives_back_key_and_place_and_happens_once(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_planned_job(session, is_agreed=True)
    check_in(act, job.id, revision=job.revision, key_number="7", place_id=1)
    mark_handed_over(act, job)
    assert (job.key_number, job.place_id, job.handed_over_on) == ("", None, date(2026, 11, 5))
    with pytest.raises(Conflict):
        mark_handed_over(act, job)


def test_only_a_car_that_went_is_settled(session: Session, now: datetime, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    assert not mark_settled(session, now, job)
    mark_handed_over(act, job)
    assert mark_settled(session, now, job)
    assert job_standing(job) is Standing.SETTLED
    mark_unsettled(session, job)
    assert job_standing(job) is Standing.HANDED_OVER


def test_calling_off_wants_a_reason_and_can_be_undone(session: Session, act: Act) -> None:
    job = make_job(session)
    with pytest.raises(RuleBroken):
        call_off(act, job.id, " ")
    call_off(act, job.id, "price")
    with pytest.raises(RuleBroken, match="This job was"):
        plan_days(act, job.id, None, "", None, "")
    assert job_standing(take_up_again(act, job.id)) is Standing.BOOKED


def test_a_car_that_went_cannot_be_called_off(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    job = make_planned_job(session, is_agreed=True)
    mark_handed_over(act, job)
    with pytest.raises(RuleBroken, match="handed over"):
        call_off(act, job.id, "price")


def test_a_changed_owner_is_found_by_the_number_all_the_same(session: Session, act: Act) -> None:
    job, other = make_job(session), make_customer(session, "Tom Vasquez", "555-0199")
    change_job(
        act,
        job.id,
        revision=1,
        wrong="Hail",
        payer_kind="insurer",
        purpose="paid",
        customer_id=other.id,
        vehicle_id=job.vehicle_id,
    )
    assert [hit.customer_id for hit in find_anything(session, str(job.number)) if hit.job_id] == [other.id]


def test_every_act_on_a_job_leaves_a_line_without_a_name(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    check_in(act, job.id, revision=job.revision, key_number="7")
    words = [line.words for line in session.scalars(select(LogLine).where(LogLine.job_id == job.id))]
    assert len(words) == 5
    assert not any("Okafor" in each for each in words)


def test_the_tabs_hold_each_job_where_it_stands(session: Session, act: Act) -> None:
    make_job(session)
    make_planned_job(session, is_agreed=True)
    gone = make_planned_job(session, is_agreed=True)
    mark_handed_over(act, gone)
    session.flush()
    counts = count_jobs(session)
    assert [counts[tab] for tab in (Tab.OPEN, Tab.BOOKED, Tab.AGREED, Tab.HANDED_OVER, Tab.ALL)] == [2, 1, 1, 1, 3]
    for tab in Tab:
        assert len(list_jobs(session, tab)) == counts[tab]


def count_rows(session: Session) -> dict[str, int]:
    session.flush()
    return {
        table.name: session.scalar(select(func.count()).select_from(table)) or 0
        for table in Base.metadata.sorted_tables
        if table.name not in {"log_line", "number_counter"}
    }


def test_one_press_throws_the_sample_away_and_leaves_nothing(session: Session, act: Act) -> None:
    kept = make_planned_job(session)
    before = count_rows(session)
    sample = make_sample_job(act)
    assert list_stages(session, sample.id)
    assert session.scalar(select(func.count()).select_from(PlanVersion).where(PlanVersion.job_id == sample.id)) == 0
    throw_sample_away(act)
    assert count_rows(session) == before
    assert find_sample(session) is None
    assert get_job(session, kept.number).id == kept.id
    with pytest.raises(NotFound):
        throw_sample_away(act)


def test_the_first_job_of_a_new_book_is_1_whatever_became_of_the_sample(session: Session, act: Act) -> None:
    sample = make_sample_job(act)
    assert get_job(session, sample.number).id == sample.id
    assert [make_planned_job(session).number for _ in range(2)] == [1, 2]


def test_the_first_job_follows_on_the_shops_old_ones(session: Session, act: Act) -> None:
    make_sample_job(act)
    go_on_with_numbers(act, {Series.JOB: 1041})
    assert make_planned_job(session).number == 1042


def test_a_sample_that_was_quoted_goes_with_its_quote(session: Session, act: Act) -> None:
    before = count_rows(session)
    sample = make_sample_job(act)
    draft_quote(act, sample.id)
    throw_sample_away(act)
    assert count_rows(session) == before


def test_a_sample_whose_quote_was_given_is_put_out_of_sight(session: Session, act: Act) -> None:
    sample = make_sample_job(act)
    give_quote(act, draft_quote(act, sample.id).id, revision=1)
    throw_sample_away(act)
    assert list_jobs(session, Tab.ALL) == []
    assert session.get(Job, sample.id) is not None


def test_a_sample_that_a_ledger_knows_is_put_out_of_sight(session: Session, act: Act) -> None:
    sample = make_sample_job(act)
    add_part(act, sample.id, name="lamp")
    write_log(act, "x", "job", sample.id, "a line that names it", job_id=sample.id)
    session.flush()
    throw_sample_away(act)
    assert list_jobs(session, Tab.ALL) == []
    assert session.get(Job, sample.id) is not None
    assert not find_anything(session, str(sample.number))


def test_a_sample_car_that_came_to_be_used_stays(session: Session, act: Act) -> None:
    sample = make_sample_job(act)
    customer_id, vehicle_id = sample.customer_id, sample.vehicle_id
    make_job(session, customer_id=customer_id, vehicle_id=vehicle_id)
    throw_sample_away(act)
    assert session.get(Customer, customer_id) is not None
    assert session.get(Vehicle, vehicle_id) is not None
    assert session.scalar(select(func.count()).select_from(Stage)) == 0

"""What comes next of a job: each rule as a claim, with a worked example in days and sums."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from shopbook.trade.diary.late import LateCar
from shopbook.trade.floor.readiness import Hold, Readiness, StageState
from shopbook.trade.next_act import (
    ACT_WORDS,
    JobFacts,
    MoneyFacts,
    NextStep,
    OpenStage,
    PlanFacts,
    Price,
    next_act,
    things_open,
)
from shopbook.trade.permissions import Role
from shopbook.trade.standing import Moments

AT = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)
TODAY = date(2026, 11, 5)
DESK = frozenset({Role.DESK})
PLANNED = PlanFacts(has_damage=True, has_plan=True)


def stage(name: str, *holds: Hold, state: StageState | None = None, ready_at: datetime | None = None) -> OpenStage:
    stands = state or (StageState.HELD if holds else StageState.CAN_BEGIN)
    return OpenStage(name, Readiness(1, stands, holds, "after prime" if holds else "", ready_at))


def asked(facts: JobFacts) -> tuple[NextStep, str]:
    found = next_act(facts, DESK, TODAY)
    return found.act, found.tag


def of(*passed: str, **facts: object) -> JobFacts:
    return JobFacts(moments=Moments(**dict.fromkeys(passed, AT)), **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("price", "act", "tag"),
    [
        (Price.NONE, NextStep.PRICE, "no price yet"),
        (Price.DRAFT, NextStep.GIVE, "draft"),
        (Price.GIVEN, NextStep.SEND, "not sent yet"),
        (Price.ASKED, NextStep.ANSWER, "asked 3 days ago"),
    ],
)
def test_a_price_is_drafted_given_sent_and_only_then_waited_for(price: Price, act: NextStep, tag: str) -> None:
    facts = of(plan=PLANNED, price=price, asked_on=date(2026, 11, 2) if price is Price.ASKED else None, quote_id=7)
    assert asked(facts) == (act, tag)
    assert next_act(facts, DESK, TODAY).quote_id == 7


def test_a_car_without_damage_is_looked_at_and_one_without_a_plan_gets_one() -> None:
    assert asked(of()) == (NextStep.LOOK, "no plan yet")
    assert asked(of(plan=PlanFacts(has_damage=True))) == (NextStep.PLAN, "no plan yet")


def test_a_car_that_should_be_here_is_checked_in_before_anything_else() -> None:
    late, due = date(2026, 11, 4), TODAY
    assert asked(of("agreed_at", plan=PLANNED, drop_off_on=late)) == (NextStep.CHECK_IN, "overdue")
    assert asked(of(plan=PLANNED, drop_off_on=due, price=Price.ASKED)) == (NextStep.CHECK_IN, "due today")
    assert asked(of(plan=PLANNED, drop_off_on=date(2026, 11, 6)))[0] is NextStep.PRICE


def test_nobody_is_asked_about_our_own_car_goodwill_or_a_comeback() -> None:
    facts = JobFacts(
        moments=Moments(quoted_at=AT, is_paid_for=False),
        price=Price.ASKED,
        plan=PlanFacts(True, True, (stage("Polish"),)),
    )
    assert asked(facts) == (NextStep.WORK, "ready to start")


def test_the_first_stage_that_can_be_worked_is_next_by_its_name() -> None:
    plan = PlanFacts(True, True, (stage("Base", Hold.PREDECESSOR), stage("Refit")))
    found = next_act(of("agreed_at", "begun_at", plan=plan), DESK, TODAY)
    assert (found.words, found.tag) == ("Refit", "ready to start")
    waits = PlanFacts(True, True, (stage("Base", Hold.WAIT, ready_at=AT),))
    assert next_act(of("agreed_at", "begun_at", plan=waits), DESK, TODAY).not_before_at == AT


def test_work_that_only_misses_the_first_approval_asks_for_its_price() -> None:
    plan = PlanFacts(True, True, (stage("Base", Hold.NOT_APPROVED),))
    assert asked(of("begun_at", plan=plan, price=Price.GIVEN)) == (NextStep.SEND, "not sent yet")


def test_mark_ready_says_how_much_is_open_and_what() -> None:
    things = things_open(("Polish",), ("Wing liner",), ("Left sill",), "$45.00")
    assert things == (
        "Not finished: Polish.",
        "Part not here: Wing liner.",
        "Extra work not approved: Left sill.",
        "Over the approved amount and not billed: $45.00.",
    )
    found = next_act(of("agreed_at", "begun_at", plan=PLANNED, open_things=things[1:3]), DESK, TODAY)
    assert (found.act, found.tag, found.open_things) == (NextStep.MARK_READY, "2 things open", things[1:3])
    assert asked(of("agreed_at", "begun_at", plan=PLANNED)) == (NextStep.MARK_READY, "all done")


@pytest.mark.parametrize(
    ("money", "act"),
    [
        (MoneyFacts(is_to_invoice=True, due_now_minor=500, owed_minor=500), NextStep.INVOICE),
        (MoneyFacts(rest_minor=200), NextStep.FURTHER),
        (MoneyFacts(due_now_minor=500, owed_minor=500), NextStep.PAY),
        (MoneyFacts(owed_minor=500), NextStep.HAND_OVER),
        (MoneyFacts(), NextStep.HAND_OVER),
    ],
)
def test_of_a_ready_car_the_customer_is_told_then_it_is_billed_paid_and_handed_over(
    money: MoneyFacts, act: NextStep
) -> None:
    assert asked(of("agreed_at", "ready_at", money=money)) == (NextStep.TELL, "ready")
    assert asked(of("agreed_at", "ready_at", told_ready_at=AT, money=money))[0] is act


def test_a_car_that_went_unpaid_is_not_paid_and_one_that_owes_nothing_is_never_called_so() -> None:
    gone = ("agreed_at", "ready_at", "handed_over_at")
    assert asked(of(*gone, money=MoneyFacts(owed_minor=1))) == (NextStep.PAY, "not paid")
    assert asked(of(*gone, money=MoneyFacts(held_minor=300))) == (NextStep.GIVE_BACK, "money held")
    assert asked(of(*gone)) == (NextStep.NOTHING, "handed over")
    assert asked(of(*gone, "settled_at")) == (NextStep.NOTHING, "settled")


def test_a_job_called_off_is_done_with_unless_money_is_held_or_a_paper_stands() -> None:
    off = ("agreed_at", "called_off_at")
    assert asked(of(*off)) == (NextStep.NOTHING, "{cancelled}")
    assert asked(of(*off, money=MoneyFacts(held_minor=12_000))) == (NextStep.GIVE_BACK, "money held")
    assert asked(of(*off, money=MoneyFacts(owed_minor=5_000, held_minor=1))) == (NextStep.PAY, "not paid")


def test_every_act_but_work_has_its_words() -> None:
    assert set(ACT_WORDS) == set(NextStep) - {NextStep.WORK}


def test_owner_and_desk_see_a_late_promise_first_and_a_technician_the_work() -> None:
    """Told Thursday, ready on Friday: the day is set by whoever may set it, the work goes on meanwhile."""
    late = LateCar((TODAY, "afternoon"), (date(2026, 11, 6), "morning"), "the paint has to cure overnight")
    facts = of("agreed_at", "begun_at", plan=replace(PLANNED, open_stages=(stage("Prime"),)), late=late)
    found = {role: next_act(facts, {role}, TODAY) for role in Role}
    assert [found[role].act for role in (Role.OWNER, Role.DESK, Role.TECHNICIAN)] == ["set_day", "set_day", "work"]
    assert found[Role.TECHNICIAN] == found[Role.OWNER].then == found[Role.DESK].then
    assert (found[Role.OWNER].late, found[Role.TECHNICIAN].late) == (late, None)
    assert next_act(facts, {Role.TECHNICIAN, Role.DESK}, TODAY).act is NextStep.SET_DAY


def test_a_late_promise_waits_for_what_is_no_work() -> None:
    """A car whose stages are done is marked ready, whatever was promised; one without an approval is priced."""
    late = LateCar((TODAY, "afternoon"), (date(2026, 11, 6), "morning"), "")
    assert next_act(of("agreed_at", "begun_at", plan=PLANNED, late=late), DESK, TODAY).act is NextStep.MARK_READY
    unpriced = of(plan=replace(PLANNED, open_stages=(stage("Prime", Hold.NOT_APPROVED),)), late=late)
    assert next_act(unpriced, DESK, TODAY).act is NextStep.PRICE

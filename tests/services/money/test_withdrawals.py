"""An approval is withdrawn: the newest one not withdrawn holds, for every reader, and the stages follow."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval
from shopbook.models.shop import LogLine
from shopbook.queries.floor.entries import list_unagreed_work
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.approvals import agreed_quotes, list_approvals, read_approvals, waits_for_approval
from shopbook.queries.money.owed import job_stands
from shopbook.queries.money.quotes import get_quote
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_ready
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.quotes import withdraw_quote
from shopbook.services.money.withdrawals import withdraw_approval
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import agreed_sum, begin_stage, risk_of_job
from tests.makers.billing import add_quote, make_agreed_job, make_job, prove
from tests.makers.insured import UNTAXED, Insured
from tests.makers.quotes import make_given_quote, make_yes

FIRST = ("car", "Repair", [("labour", "Repair", 50_000)])
SECOND = ("car", "Repair", [("labour", "Repair", 70_000)])


def approvals(session: Session, job: Job) -> list[Approval]:
    return list_approvals(session, job.id)


@pytest.fixture
def twice(session: Session, now: datetime) -> Job:
    """500.00 approved two days ago, 700.00 today."""
    job = make_job(session, now)
    add_quote(session, job, now - timedelta(days=2), [FIRST])
    add_quote(session, job, now - timedelta(hours=1), [SECOND])
    return job


def test_the_newest_one_not_withdrawn_holds(session: Session, act: Act, twice: Job) -> None:
    """700.00; with the second withdrawn 500.00; with both nothing."""
    first, second = approvals(session, twice)
    assert agreed_sum(session, twice.id).net_minor == 70_000
    withdraw_approval(act, second.id, reason="said for the wrong car")
    assert agreed_sum(session, twice.id).net_minor == 50_000
    assert job_stands(session, [twice.id], act.day)[twice.id].owed_minor == 50_000
    withdraw_approval(act, first.id, reason="too dear")
    assert agreed_sum(session, twice.id).net_minor == 0
    assert twice.agreed_at is None
    prove(session)


def test_an_older_one_is_withdrawn_and_the_newest_holds_on(session: Session, act: Act, twice: Job) -> None:
    first, second = approvals(session, twice)
    withdraw_approval(act, first.id, reason="typed twice")
    assert agreed_sum(session, twice.id).net_minor == 70_000
    assert twice.agreed_at == second.at


def test_what_is_withdrawn_is_a_row_of_its_own_with_its_reason(session: Session, act: Act, twice: Job) -> None:
    first, second = approvals(session, twice)
    withdraw_approval(act, second.id, reason="  too dear  ")
    (row,) = read_approvals(session, [twice.id]).withdrawn[twice.id]
    assert (row.approval, row.withdrawal.reason) == (second, "too dear")
    assert approvals(session, twice) == [first]
    said = session.scalars(select(LogLine.words).order_by(LogLine.id.desc())).first()
    assert said == "Withdrew the customer’s approval of version 2 from November 5, 2026: too dear"


def test_stages_are_open_again_and_a_begun_one_is_flagged(session: Session, owner: Actor, now: datetime) -> None:
    quote = make_given_quote(session)
    approval = make_yes(session, quote)
    job = session.get_one(Job, quote.job_id)
    stages = [stage for stage in list_stages(session, job.id) if stage.agreed_at is not None]
    act = Act(session, owner, now)
    begin_stage(act, stages[0].id)
    withdraw_approval(act, approval.id, reason="changed her mind")
    assert all(stage.agreed_at is None for stage in list_stages(session, job.id))
    assert stages[0].begun_at == now
    assert quote.answered_at is None
    assert [row.quote.id for row in waits_for_approval(session)] == [quote.id]
    assert len(list_stages(session, job.id)) == len(stages)


def test_a_panel_that_the_withdrawn_approval_declined_comes_back(session: Session, owner: Actor, now: datetime) -> None:
    quote = make_given_quote(session)
    before = {stage.quote_group_key for stage in list_stages(session, quote.job_id)}
    first = next(group for group in quote.groups if group.key == "right_quarter")
    approval = make_yes(session, quote, first.id)
    assert {stage.quote_group_key for stage in list_stages(session, quote.job_id)} < before
    withdraw_approval(Act(session, owner, now), approval.id, reason="asks for both")
    assert {stage.quote_group_key for stage in list_stages(session, quote.job_id)} == before
    assert all(damage.left_at is None for damage in list_damages(session, quote.job_id))


def test_the_approval_before_it_brings_back_what_it_took_and_left(
    session: Session, owner: Actor, now: datetime
) -> None:
    quote = make_given_quote(session)
    first = next(group for group in quote.groups if group.key == "right_quarter")
    make_yes(session, quote, first.id)
    narrow = {stage.quote_group_key for stage in list_stages(session, quote.job_id)}
    both = make_yes(session, quote)
    withdraw_approval(Act(session, owner, now), both.id, reason="only one panel after all")
    stages = list_stages(session, quote.job_id)
    assert {stage.quote_group_key for stage in stages} == narrow
    assert all(stage.agreed_at is not None for stage in stages if stage.quote_group_key == "right_quarter")
    (row,) = agreed_quotes(session, quote.job_id)
    assert [group.key for group in row.taken if group.key != "car"] == ["right_quarter"]


def test_the_extra_alone_is_withdrawn(session: Session, act: Act, now: datetime) -> None:
    """803.00 with the extra of 40.00 behind the arch: 763.00 stands."""
    job = make_agreed_job(session, now)
    assert agreed_sum(session, job.id).net_minor == 80_300
    withdraw_approval(act, approvals(session, job)[-1].id, reason="she never agreed")
    assert agreed_sum(session, job.id).net_minor == 76_300
    assert job.agreed_at is not None


def test_a_ready_job_without_any_approval_is_not_ready(session: Session, act: Act, now: datetime) -> None:
    job = make_job(session, now)
    add_quote(session, job, now - timedelta(days=2), [FIRST])
    mark_ready(act, job.id, with_open_stages=True)
    withdraw_approval(act, approvals(session, job)[0].id, reason="wrong job")
    assert (job.ready_at, job.agreed_at) == (None, None)
    session.flush()


def test_an_invoice_that_bills_it_refuses_it_until_it_is_credited(session: Session, act: Act, twice: Job) -> None:
    first, second = approvals(session, twice)
    invoice = issue_invoice(act, twice.id)
    with pytest.raises(RuleBroken, match="Invoice 1 bills this approval"):
        withdraw_approval(act, second.id, reason="too dear")
    withdraw_approval(act, first.id, reason="typed twice")
    credit_invoice(act, invoice.id, reason="too dear")
    withdraw_approval(act, second.id, reason="too dear")
    assert agreed_sum(session, twice.id).net_minor == 0
    prove(session)


def test_an_extra_that_is_on_no_invoice_yet_is_withdrawn(session: Session, act: Act, now: datetime) -> None:
    job = make_job(session, now)
    add_quote(session, job, now - timedelta(days=2), [FIRST])
    issue_invoice(act, job.id)
    add_quote(session, job, now, [("behind", "Rust", [("labour", "Weld", 9_750)])], kind="extra")
    main, extra = approvals(session, job)
    with pytest.raises(RuleBroken, match="bills this approval"):
        withdraw_approval(act, main.id, reason="too dear")
    withdraw_approval(act, extra.id, reason="she never agreed")
    assert job_stands(session, [job.id], act.day)[job.id].rest_minor == 0


def test_an_insurers_approval_is_at_the_shops_risk_again(session: Session, owner: Actor, now: datetime) -> None:
    """1,814.95 with 500.00 excess: approved 1,314.95, at risk 0; withdrawn, 1,314.95; the one before it of 1,000.00
    holds again: 314.95."""
    insured = Insured(session, now)
    insured.work(UNTAXED)
    assert risk_of_job(session, insured.job.id) == 131_495
    insured.approves(100_000)
    assert risk_of_job(session, insured.job.id) == 31_495
    newest = insured.approves(131_495)
    assert risk_of_job(session, insured.job.id) == 0
    withdraw_approval(Act(session, owner, now), newest.id, reason="sent for another claim")
    assert risk_of_job(session, insured.job.id) == 31_495
    assert insured.job.agreed_at is not None


def test_an_insurers_approval_that_an_invoice_bills_is_refused(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(UNTAXED)
    approval = insured.approves(131_495)
    insured.invoice(owner)
    with pytest.raises(RuleBroken, match="bills this approval"):
        withdraw_approval(Act(session, owner, now), approval.id, reason="sent for another claim")


def test_without_a_reason_twice_or_of_nothing_it_is_refused(session: Session, act: Act, twice: Job) -> None:
    first, _ = approvals(session, twice)
    with pytest.raises(RuleBroken, match="Say in a few words"):
        withdraw_approval(act, first.id, reason="   ")
    withdraw_approval(act, first.id, reason="typed twice")
    with pytest.raises(Conflict):
        withdraw_approval(act, first.id, reason="typed twice")
    with pytest.raises(NotFound):
        withdraw_approval(act, 99, reason="typed twice")


def test_a_quote_whose_approval_was_withdrawn_can_be_withdrawn_and_approved_anew(
    session: Session, owner: Actor, now: datetime
) -> None:
    quote = make_given_quote(session)
    act = Act(session, owner, now)
    withdraw_approval(act, make_yes(session, quote).id, reason="too dear")
    make_yes(session, quote, at=now, still_holds=True)
    assert agreed_quotes(session, quote.job_id)
    withdraw_approval(act, approvals(session, session.get_one(Job, quote.job_id))[0].id, reason="too dear again")
    withdraw_quote(act, quote.id)
    assert get_quote(session, quote.id).replaced_at is not None
    assert list_unagreed_work(session) == []

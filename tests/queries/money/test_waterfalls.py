"""What was kept with the approval is held against what came of the job, and the steps add up."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.models.money import Quote
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_stages, stages_of
from shopbook.queries.jobs.whole import whole_job
from shopbook.queries.money.accounts import read_account
from shopbook.queries.money.approvals import agreed_quotes_of
from shopbook.queries.money.costs import list_costs, read_costs, sum_by_job
from shopbook.queries.money.margins import earnings_of
from shopbook.queries.money.papers import read_papers
from shopbook.queries.money.waterfalls import JobsCame, waterfall_of, waterfalls
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.worst_jobs import list_billed_stages, list_worst_jobs
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.extras import draft_extra
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.quotes import give_quote
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.results.waterfall import JobWaterfall
from shopbook.trade.results.worst_jobs import InvoicedJob
from tests.makers import make_person
from tests.makers.floor import at
from tests.makers.jobs import make_job, make_planned_job, make_stage
from tests.makers.quotes import make_given_quote, make_yes

DAY = date(2026, 11, 5)
MONTH = date(2026, 11, 1), date(2026, 11, 30)


@pytest.fixture
def sam(session: Session) -> Actor:
    """The only one with a skill beside the owner: body work at 32.00 an hour, where Noor costs 31.00."""
    return make_person(session, "Sam", Role.TECHNICIAN, skills=("body",), cost=3200)


def work(session: Session, who: Actor, stage: Stage, minutes: int) -> None:
    assert who.person_id is not None
    span = Interval(at("8:00"), at("8:00") + timedelta(minutes=minutes))
    write_entry(Act(session, who, at("18:00")), who.person_id, span, Doing(stage_ids=(stage.id,)))


def agreed(session: Session, act: Act, *panels: str) -> Quote:
    """A job approved by its plan, its car here since the morning."""
    job = make_planned_job(session, *(panels or ("right_front_door",)))
    job.came_at = at("7:50")
    quote = make_given_quote(session, job)
    make_yes(session, quote)
    return quote


def steps_in(session: Session, ids: Sequence[int], last: date) -> dict[int, JobWaterfall]:
    """The steps of these jobs up to a day, of what is read of them alone."""
    stages, costs = stages_of(session, ids, with_struck=True, with_uses=False), read_costs(session, ids, last)
    agreed, papers = agreed_quotes_of(session, ids), read_papers(session, ids, last)
    return waterfalls(session, JobsCame(stages, costs.clocked, sum_by_job(costs.lines), agreed, papers), last)


def worst_of(session: Session) -> list[InvoicedJob]:
    read = read_cars(ShopOn(session, MONTH[1]), *MONTH)
    return list_worst_jobs(read, *MONTH, list_billed_stages(read, *MONTH))


def steps_of(found: JobWaterfall) -> dict[str, int]:
    return {step.code.value: step.minor for step in found.waterfall.steps}


def first_of(session: Session, job_id: int, skill: str) -> Stage:
    return next(stage for stage in list_stages(session, job_id) if stage.skill == skill)


def test_the_steps_sum_to_what_was_invoiced_less_what_the_job_cost(session: Session, act: Act, sam: Actor) -> None:
    quote = agreed(session, act)
    stage = first_of(session, quote.job_id, "body")
    work(session, sam, stage, stage.planned_minutes + 30)
    part = add_part(act, quote.job_id, kind="part", name="Clip set", cost_minor=1500, price_minor=0)
    part_came(act, part.id)
    invoice = issue_invoice(act, quote.job_id)
    found = steps_in(session, [quote.job_id], DAY)[quote.job_id]
    spent = sum_by_job(list_costs(session, jobs=[quote.job_id], last=DAY))[quote.job_id]
    assert found.waterfall.made.margin_minor == invoice.net_minor - spent.total_minor
    steps = steps_of(found)
    assert sum(steps.values()) == found.waterfall.difference_minor
    assert found.waterfall.extra_minutes["body"] == stage.planned_minutes + 30 - sum(
        each.planned_minutes for each in list_stages(session, quote.job_id) if each.skill == "body"
    )
    # Body work was planned at the mean of 31.00 and 32.00; all of it that was done cost 32.00.
    assert steps["who"] == pytest.approx(-(stage.planned_minutes + 30) * 50 / 60, abs=len(steps))


def test_one_job_on_its_page_has_the_same_steps_as_in_its_month(session: Session, act: Act, sam: Actor) -> None:
    quote = agreed(session, act, "right_quarter", "rear_bumper")
    work(session, sam, first_of(session, quote.job_id, "body"), 90)
    issue_invoice(act, quote.job_id)
    shop, whole = ShopOn(session, DAY), whole_job(session, get_job_by_id(session, quote.job_id))
    accounts = read_account(shop, whole)
    alone = waterfall_of(whole, accounts, earnings_of(whole, accounts).so_far)
    assert alone == steps_in(session, [quote.job_id], DAY)[quote.job_id]


def test_an_approved_extra_that_no_invoice_bills_is_price_and_named(session: Session, act: Act, sam: Actor) -> None:
    quote = agreed(session, act)
    issue_invoice(act, quote.job_id)
    extra = draft_extra(act, quote.job_id, title="Rust behind the arch", price_minor=9750)
    extra = give_quote(act, extra.id, revision=extra.revision)
    make_yes(session, extra, at=act.moment)
    found = steps_in(session, [quote.job_id], DAY)[quote.job_id]
    assert steps_of(found)["price"] == -9750
    assert [(item.title, item.net_minor, item.is_extra) for item in found.unbilled] == [
        ("Rust behind the arch", 9750, True)
    ]


def test_what_is_spent_and_approved_after_the_day_is_left_out(session: Session, act: Act, sam: Actor) -> None:
    quote = agreed(session, act)
    issue_invoice(act, quote.job_id)
    before = steps_in(session, [quote.job_id], DAY)
    later = Act(session, act.actor, act.moment + timedelta(days=30))
    extra = draft_extra(later, quote.job_id, title="Wax", price_minor=5000)
    extra = give_quote(later, extra.id, revision=extra.revision)
    make_yes(session, extra, at=later.moment)
    part_came(later, add_part(later, quote.job_id, kind="part", name="Clip set", cost_minor=1500).id)
    assert steps_in(session, [quote.job_id], DAY) == before
    assert steps_in(session, [quote.job_id], date(2026, 12, 31)) != before


def test_rework_is_a_step_of_its_own_and_work_that_nobody_approved_is_named(
    session: Session, act: Act, sam: Actor
) -> None:
    quote = agreed(session, act)
    job = session.get_one(Job, quote.job_id)
    again = make_stage(session, job, "Pull the run down", purpose="rework")
    loose = make_stage(session, job, "Straighten the sill", minutes=60)
    loose.agreed_at = None
    work(session, sam, again, 60)
    session.flush()
    assert sam.person_id is not None
    span = Interval(at("10:00"), at("11:00"))
    write_entry(Act(session, sam, at("18:00")), sam.person_id, span, Doing(stage_ids=(loose.id,)))
    issue_invoice(act, quote.job_id)
    found = steps_in(session, [quote.job_id], DAY)[quote.job_id]
    assert steps_of(found)["rework"] == -3200
    assert found.never_approved == (("Straighten the sill", 60),)


def test_a_job_without_an_invoice_or_credited_whole_has_no_steps(session: Session, act: Act, sam: Actor) -> None:
    quote = agreed(session, act)
    assert steps_in(session, [quote.job_id], DAY) == {}
    invoice = issue_invoice(act, quote.job_id)
    assert [job.number for job in worst_of(session)] == [session.get_one(Job, quote.job_id).number]
    credit_invoice(act, invoice.id, reason="Wrong car")
    assert steps_in(session, [quote.job_id], DAY) == {}
    assert worst_of(session) == []


def test_the_number_of_statements_does_not_depend_on_the_number_of_jobs(session: Session, act: Act, sam: Actor) -> None:
    for panel in ("right_front_door", "right_quarter", "rear_bumper"):
        quote = agreed(session, act, panel)
        work(session, sam, first_of(session, quote.job_id, "body"), 60)
        issue_invoice(act, quote.job_id)
    jobs = [job.result.job_id for job in worst_of(session)]
    assert len(jobs) == 3
    sent: list[str] = []
    engine = session.get_bind()
    event.listen(engine, "before_cursor_execute", lambda *args: sent.append(args[2]))
    counts = []
    for ids in (jobs[:1], jobs):
        session.expire_all()
        sent.clear()
        steps_in(session, ids, DAY)
        counts.append(len(sent))
    assert counts[0] == counts[1]


def test_a_job_that_nobody_approved_has_none(session: Session) -> None:
    assert steps_in(session, [make_job(session).id], DAY) == {}

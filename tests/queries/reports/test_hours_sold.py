"""Hours sold in a month: planned hours of what its invoices bill, hours billed where billed by hours, credits back."""

from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceLine
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.reports.span_read import read_span
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.quick import quick_job
from shopbook.services.money.quote_parts import GroupEdit, Terms, change_quote
from shopbook.services.money.quotes import give_quote
from tests.makers.billing import BUMPER, DOOR, add_quote, make_agreed_job
from tests.makers.billing import make_job as make_bare_job
from tests.makers.quotes import make_given_quote, make_quote, make_yes

NOVEMBER = date(2026, 11, 1), date(2026, 11, 30)
DECEMBER = date(2026, 12, 1), date(2026, 12, 31)


def sold_in(session: Session, first: date, last: date) -> dict[int, int]:
    return read_span(ShopOn(session, last), first, last).hours.minutes(first, last)


def planned(session: Session, job_id: int) -> int:
    return sum(stage.planned_minutes for stage in list_stages(session, job_id))


def test_the_planned_hours_of_an_invoiced_job_are_sold_whatever_it_took(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    before = planned(session, quote.job_id)
    list_stages(session, quote.job_id)[0].planned_minutes += 600
    session.flush()
    issue_invoice(act, quote.job_id)
    assert sold_in(session, *NOVEMBER) == {quote.job_id: before}
    assert sold_in(session, *DECEMBER) == {}


def test_a_price_typed_over_the_hours_changes_no_hours_sold(session: Session, act: Act) -> None:
    quote = make_quote(session)
    typed = [GroupEdit(quote.groups[0].id, "Quarter", "", price_minor=100)]
    change_quote(act, quote.id, revision=quote.revision, terms=Terms(), groups=typed)
    quote = give_quote(act, quote.id, revision=quote.revision)
    make_yes(session, quote, at=act.moment)
    issue_invoice(act, quote.job_id)
    assert sold_in(session, *NOVEMBER) == {quote.job_id: planned(session, quote.job_id)}


def test_what_was_declined_is_not_sold(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote, quote.groups[0].id)
    issue_invoice(act, quote.job_id)
    assert sold_in(session, *NOVEMBER) == {quote.job_id: planned(session, quote.job_id)}


def test_a_credit_note_takes_the_hours_back_in_its_own_month(session: Session, act: Act) -> None:
    quote = make_given_quote(session)
    make_yes(session, quote)
    invoice = issue_invoice(act, quote.job_id)
    later = Act(session, act.actor, act.moment + timedelta(days=30))
    credit_invoice(later, invoice.id, reason="Wrong car")
    sold = planned(session, quote.job_id)
    assert sold_in(session, *NOVEMBER) == {quote.job_id: sold}
    assert sold_in(session, *DECEMBER) == {quote.job_id: -sold}


def test_an_estimate_by_hours_sells_the_hours_that_it_charges(session: Session, act: Act) -> None:
    job = make_bare_job(session, act.moment)
    add_quote(session, job, act.moment, [DOOR, BUMPER], is_estimate=True, up_to_minor=200000)
    invoice = issue_invoice(act, job.id)
    charged = session.scalars(select(InvoiceLine.minutes).where(InvoiceLine.invoice_id == invoice.id))
    assert sold_in(session, *NOVEMBER) == {job.id: sum(each or 0 for each in charged)}


def test_of_an_approval_without_a_kept_plan_the_hours_it_was_priced_by_are_sold(session: Session, act: Act) -> None:
    job = make_agreed_job(session, act.moment)
    issue_invoice(act, job.id)
    lines = session.scalars(select(InvoiceLine).join(Invoice).where(Invoice.job_id == job.id))
    assert sold_in(session, *NOVEMBER) == {job.id: sum(line.minutes or 0 for line in lines)}


def test_a_quick_job_sells_a_price_and_no_hours(session: Session, act: Act) -> None:
    invoice = quick_job(act, who="Ines Okafor", what="Buff one headlight", price_minor=6000, means="cash")
    assert sold_in(session, *NOVEMBER) == {session.get_one(Job, invoice.job_id).id: 0}


def test_an_estimate_that_took_fewer_hours_sells_those_alone(session: Session, act: Act) -> None:
    quote = make_quote(session)
    change_quote(act, quote.id, revision=quote.revision, terms=Terms(is_estimate=True, up_to_minor=10**6))
    quote = give_quote(act, quote.id, revision=quote.revision)
    make_yes(session, quote, at=act.moment)
    invoice = issue_invoice(act, quote.job_id)
    charged = session.scalars(select(InvoiceLine.minutes).where(InvoiceLine.invoice_id == invoice.id))
    assert sold_in(session, *NOVEMBER) == {quote.job_id: sum(each or 0 for each in charged)}

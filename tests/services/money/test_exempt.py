"""A certificate that comes after money or an approval: the deposit's tax goes back, a draft follows."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.quotes import bill_of_quote, list_quotes, quotes_of
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.merging import merge_customers
from shopbook.services.money.quotes import give_quote
from shopbook.trade.billing.exempt import Exemption, exemption_to_json
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.billing import add_quote, make_job, prove, set_tax
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_quote

CERTIFICATE = Exemption("resale", "Resale certificate", "32-0001", "Texas", date(2026, 1, 2))


def make_work(session: Session, now: datetime) -> Job:
    """Work of 1,000.00 and 200.00 tax, approved."""
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    return job


def certify(session: Session, job: Job) -> None:
    customer = session.get(Customer, job.customer_id)
    assert customer is not None
    customer.exemption = exemption_to_json(CERTIFICATE)
    session.flush()


def test_a_deposit_taxed_before_is_credited_and_its_money_pays_the_exempt_invoice(
    session: Session, now: datetime, act: Act
) -> None:
    """Deposit 250.00 + 50.00; the certificate comes; credit note −300.00, invoice 1,000.00 with 700.00 left to pay."""
    job = make_work(session, now)
    take_deposit(act, job.id, amount_minor=30000, means="card", treatment="taxed")
    certify(session, job)
    invoice = issue_invoice(act, get_job_by_id(session, job.id).id)
    (credit,) = session.scalars(select(Invoice).where(Invoice.kind == "credit"))
    assert (credit.net_minor, credit.tax_minor) == (-25000, -5000)
    assert (invoice.net_minor, invoice.tax_minor) == (100000, 0)
    (row,) = payer_standings(session, [invoice.id])[invoice.id]
    assert row.owed_minor == 70000
    prove(session)


def test_a_deposit_after_the_certificate_is_exempt_too_and_comes_off(session: Session, now: datetime, act: Act) -> None:
    job = make_work(session, now)
    certify(session, job)
    take_deposit(act, job.id, amount_minor=30000, means="card", treatment="taxed")
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    assert (deposit.net_minor, deposit.tax_minor) == (30000, 0)
    assert deposit.frozen["exempt_note"].startswith("No sales tax charged: resale certificate 32-0001, Texas, ")
    invoice = issue_invoice(act, job.id)
    assert (invoice.net_minor, invoice.tax_minor) == (70000, 0)
    prove(session)


def test_an_estimate_goes_by_the_day_it_is_given_and_keeps_what_was_given(session: Session) -> None:
    job = make_planned_job(session)
    quote = make_quote(session, job)
    assert bill_of_quote(session, quote).tax_minor > 0
    certify(session, job)
    (draft,) = list_quotes(session, job.id)
    assert bill_of_quote(session, draft).tax_minor == 0
    give_quote(Act(session, THE_PROGRAM, GIVEN), draft.id, revision=draft.revision)
    session.get_one(Customer, job.customer_id).exemption = {}
    session.flush()
    (given,) = list_quotes(session, job.id)
    assert [row.rate.name for row in bill_of_quote(session, given).taxes] == ["Exempt, resale certificate"]


def test_each_quote_has_the_certificate_of_its_own_customer_and_a_merged_ones_is_the_firsts(
    session: Session, act: Act
) -> None:
    first, second = make_planned_job(session), make_planned_job(session)
    make_quote(session, first)
    make_quote(session, second)
    certify(session, first)
    found = quotes_of(session, [first.id, second.id])
    assert [found[job.id][0].exemption.get("number") for job in (first, second)] == ["32-0001", None]
    assert first.customer_id
    assert second.customer_id
    merge_customers(act, first.customer_id, second.customer_id)
    found = quotes_of(session, [first.id, second.id])
    assert [found[job.id][0].exemption.get("number") for job in (first, second)] == ["32-0001", "32-0001"]

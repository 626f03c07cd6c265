"""A job is given to another customer: what goes along, what stays as recorded, and the money, to the last unit."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, SearchKey
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, JobPayer, MonthClose, Payment
from shopbook.queries.money.approvals import agreed_quotes
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.payments import free_by_payer
from shopbook.queries.money.receipts import find_receipt
from shopbook.queries.reports.month import get_month_end
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import call_off
from shopbook.services.money.changed_customer import change_customer_of_job
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.billing import add_quote, make_job, name_payer, prove, set_tax
from tests.makers.customers import make_customer

WORK = [("car", "Repair", [("labour", "Repair", 100_000)])]


@pytest.fixture
def jana(session: Session) -> Customer:
    return make_customer(session, "Jana Kirk", "555-0171")


@pytest.fixture
def thea(session: Session) -> Customer:
    return make_customer(session, "Thea Lund", "555-0172")


@pytest.fixture
def job(session: Session, now: datetime, jana: Customer) -> Job:
    """1,000.00 + 20 % of work, approved by Jana Kirk."""
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    made = make_job(session, now, jana)
    add_quote(session, made, made.opened_at, WORK, code="vat")
    return made


def change(act: Act, job: Job, customer: Customer) -> Job:
    return change_customer_of_job(act, job.id, revision=job.revision, customer_id=customer.id)


def papers(session: Session) -> list[tuple[str, int, int | None, int, int]]:
    rows = session.scalars(select(Invoice).order_by(Invoice.id))
    return [(row.kind, row.number, row.customer_id, row.net_minor, row.tax_minor) for row in rows]


def test_a_held_deposit_moves_along_and_a_deposit_invoice_is_credited_and_written_anew(
    session: Session, act: Act, job: Job, jana: Customer, thea: Customer
) -> None:
    """100.00 held, 200.00 + 40.00 taxed: credit note 1, receipts 3 to 6, deposit invoice 2; tax of the month 40.00."""
    take_deposit(act, job.id, amount_minor=10_000, means="cash", treatment="held")
    take_deposit(act, job.id, amount_minor=24_000, means="card", treatment="taxed")
    changed = change(act, job, thea)
    assert (changed.customer_id, changed.customer) == (thea.id, thea)
    assert papers(session) == [
        ("deposit", 1, jana.id, 20_000, 4_000),
        ("credit", 1, jana.id, -20_000, -4_000),
        ("deposit", 2, thea.id, 20_000, 4_000),
    ]
    money = session.scalars(select(Payment).order_by(Payment.id)).all()
    assert [(row.number, row.customer_id, row.means, row.amount_minor) for row in money[2:]] == [
        (3, jana.id, "cash", -10_000),
        (4, thea.id, "cash", 10_000),
        (5, jana.id, "card", -24_000),
        (6, thea.id, "card", 24_000),
    ]
    assert free_by_payer(session, [job.id]) == ({job.id: {jana.id: 0, thea.id: 10_000}}, {})
    assert sum(row.tax_minor for row in get_month_end(session, "2026-11").taxes) == 4_000
    prove(session)


def test_the_deposit_written_anew_keeps_its_rate_and_its_day_of_supply(
    session: Session, owner: Actor, now: datetime, act: Act, job: Job, thea: Customer
) -> None:
    take_deposit(act, job.id, amount_minor=24_000, means="card", treatment="taxed")
    later = now + timedelta(days=10)
    set_tax(session, "vat", "VAT", 25_000, ["labour", "materials"], later.date(), now)
    change(Act(session, owner, later), job, thea)
    anew = session.scalars(select(Invoice).where(Invoice.kind == "deposit").order_by(Invoice.id.desc())).first()
    assert anew is not None
    assert (anew.tax_minor, anew.supply_on, anew.issued_on) == (4_000, now.date(), later.date())
    assert anew.frozen["to"] == "Thea Lund"
    assert "credited by credit note 1" in anew.frozen["notes"][0]
    assert [row.owed_minor for row in payer_standings(session, [anew.id])[anew.id]] == [0]


def test_the_last_invoice_takes_off_the_deposit_written_anew(
    session: Session, act: Act, job: Job, thea: Customer
) -> None:
    take_deposit(act, job.id, amount_minor=24_000, means="card", treatment="taxed")
    change(act, job, thea)
    final = issue_invoice(act, job.id)
    assert (final.customer_id, final.net_minor, final.tax_minor) == (thea.id, 80_000, 16_000)
    prove(session)


def test_the_approval_stays_under_the_old_name_and_holds(
    session: Session, act: Act, job: Job, jana: Customer, thea: Customer
) -> None:
    change(act, job, thea)
    (row,) = agreed_quotes(session, job.id)
    assert (row.approval.customer_id, row.sum.taken.net_minor) == (jana.id, 100_000)


def test_the_car_goes_along_and_the_search_finds_the_job_under_the_new_name(
    session: Session, act: Act, job: Job, thea: Customer
) -> None:
    changed = change(act, job, thea)
    assert changed.vehicle is not None
    assert changed.vehicle.customer_id == thea.id
    assert session.scalars(select(SearchKey.customer_id).where(SearchKey.job_id == job.id)).all() == [thea.id]


def test_a_car_of_somebody_else_stays_theirs(session: Session, act: Act, job: Job, thea: Customer) -> None:
    assert job.vehicle is not None
    other = make_customer(session, "Otto Lind", "555-0190")
    job.vehicle.customer_id = other.id
    changed = change(act, job, thea)
    assert changed.vehicle is not None
    assert changed.vehicle.customer_id == other.id


def test_an_excess_of_the_old_customer_is_borne_by_the_new_one(
    session: Session, act: Act, job: Job, jana: Customer, thea: Customer
) -> None:
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer")
    name_payer(session, job, jana, "excess", 25_000)
    name_payer(session, job, insurer, "rest")
    change(act, job, thea)
    rows = session.scalars(select(JobPayer.customer_id).where(JobPayer.job_id == job.id).order_by(JobPayer.id))
    assert rows.all() == [thea.id, insurer.id]
    with pytest.raises(RuleBroken, match="pays a share of the job already"):
        change(act, job, insurer)


def test_money_of_another_payer_stays_theirs(session: Session, act: Act, job: Job, thea: Customer) -> None:
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer")
    take_deposit(act, job.id, amount_minor=24_000, means="transfer", treatment="taxed", customer_id=insurer.id)
    change(act, job, thea)
    assert [row[0] for row in papers(session)] == ["deposit"]


def test_the_receipts_say_that_no_money_changed_hands(session: Session, act: Act, job: Job, thea: Customer) -> None:
    take_deposit(act, job.id, amount_minor=10_000, means="cash", treatment="held")
    change(act, job, thea)
    back, again = session.scalars(select(Payment).order_by(Payment.id)).all()[1:]
    told = [find_receipt(session, row) for row in (back, again)]
    assert [kept["head"]["to"] for kept in told if kept] == ["Jana Kirk", "Thea Lund"]
    assert [kept["kind"] for kept in told if kept] == ["Money moved", "Receipt"]
    assert all("no money changed hands" in " ".join(kept["notes"]) for kept in told if kept)


def test_an_invoice_that_stands_refuses_it_and_one_credited_whole_does_not(
    session: Session, act: Act, job: Job, thea: Customer
) -> None:
    invoice = issue_invoice(act, job.id)
    with pytest.raises(RuleBroken, match="Invoice 1 bills this job"):
        change(act, job, thea)
    credit_invoice(act, invoice.id, reason="wrong customer")
    assert change(act, job, thea).customer_id == thea.id
    prove(session)


def test_a_closed_month_does_not_stop_it(session: Session, act: Act, job: Job, now: datetime, thea: Customer) -> None:
    """The deposit was of October: both papers are dated today, its day of supply stays."""
    job.opened_on = date(2026, 10, 1)
    take_deposit(act, job.id, amount_minor=24_000, means="card", treatment="taxed", on=date(2026, 10, 20))
    session.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=now))
    change(act, job, thea)
    anew = session.scalars(select(Invoice).order_by(Invoice.id.desc())).first()
    assert anew is not None
    assert (anew.supply_on, anew.issued_on) == (date(2026, 10, 20), now.date())


def test_who_was_typed_is_added_and_nobody_is_refused(session: Session, act: Act, job: Job, jana: Customer) -> None:
    for typed, said in (
        ("", "Enter a name"),
        ("KTR 204", "Enter a name"),
        ("Jana Kirk 555-0171", "has the job already"),
    ):
        with pytest.raises(RuleBroken, match=said):
            change_customer_of_job(act, job.id, revision=job.revision, who=typed)
    changed = change_customer_of_job(act, job.id, revision=job.revision, who="Mia Brandt")
    assert changed.customer is not None
    assert changed.customer.name == "Mia Brandt"


def test_a_stale_page_and_a_job_called_off_are_refused(session: Session, act: Act, job: Job, thea: Customer) -> None:
    with pytest.raises(Conflict):
        change_customer_of_job(act, job.id, revision=job.revision + 1, customer_id=thea.id)
    call_off(act, job.id, "price")
    with pytest.raises(RuleBroken, match="cancelled"):
        change(act, job, thea)

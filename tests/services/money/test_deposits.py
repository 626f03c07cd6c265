"""Deposits: taxed on their own paper, held for the invoice, or a security; the invoice takes off what was taxed."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice
from shopbook.queries.money.invoices import list_credits, payer_standings
from shopbook.queries.reports.month import get_month_end
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import keep_security
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.billing import (
    add_quote,
    make_agreed_job,
    make_job,
    prove,
    set_tax,
)


def test_a_taxed_deposit_has_its_own_number_and_is_taken_off_with_its_tax(
    session: Session, now: datetime, act: Act
) -> None:
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    take_deposit(act, job.id, amount_minor=30000, means="card", treatment="taxed")
    final = issue_invoice(act, job.id)
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    assert (deposit.number, deposit.net_minor, deposit.tax_minor) == (1, 25000, 5000)
    assert (final.number, final.net_minor, final.tax_minor, final.gross_minor) == (2, 75000, 15000, 90000)
    with pytest.raises(RuleBroken, match="taken off invoice 2"):
        credit_invoice(act, deposit.id, reason="slip")
    prove(session)


@pytest.mark.parametrize("has_tax_inside", [False, True])
def test_a_deposit_taken_before_the_rate_changed_keeps_its_tax_and_the_rest_has_the_new_one(
    session: Session, owner: Actor, now: datetime, act: Act, has_tax_inside: bool
) -> None:
    """1,000.00 of work; 300.00 taken at 20 % is 250.00 and 50.00; the rest is taxed at the 25 % of its day."""
    kinds, later = ["labour", "materials"], now + timedelta(days=10)
    set_tax(session, "vat", "VAT", 20000, kinds, date(2026, 1, 1), now)
    job = make_job(session, now)
    groups = [("car", "Repair", [("labour", "Repair", 100000)])]
    add_quote(session, job, job.opened_at, groups, code="vat", has_tax_inside=has_tax_inside)
    take_deposit(act, job.id, amount_minor=30000, means="card", treatment="taxed")
    set_tax(session, "vat", "VAT", 25000, kinds, later.date(), now)
    final = issue_invoice(Act(session, owner, later), job.id, supply_on=later.date())
    taxed = (56000, 14000) if has_tax_inside else (75000, 18750)
    assert (final.net_minor, final.tax_minor) == taxed
    assert payer_standings(session, [final.id])[final.id][0].owed_minor == sum(taxed)
    (row,) = get_month_end(session, "2026-11").taxes[-1:]
    assert sum(row.tax_minor for row in get_month_end(session, "2026-11").taxes) == 5000 + final.tax_minor
    assert row.rate_thousandths == 25000
    credit_invoice(Act(session, owner, later), final.id, reason="wrong car")
    prove(session)


def test_a_deposit_taxed_beyond_the_work_is_credited_and_its_money_used(
    session: Session, now: datetime, act: Act
) -> None:
    """In the end the owner left most of the labour that it was taken for."""
    set_tax(session, "vat", "VAT", 20000, ["labour"], date(2026, 1, 1), now)
    set_tax(session, "low", "VAT, reduced", 5000, ["materials"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    take_deposit(act, job.id, amount_minor=60000, means="card", treatment="taxed")
    add_quote(session, job, now, [("car", "Repair", [("labour", "Less of it", 40000)])], code="vat")
    add_quote(session, job, now, [("car", "Colour", [("materials", "Colour", 20000)])], kind="extra", code="low")
    final = issue_invoice(act, job.id)
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    assert [credit.gross_minor for credit in list_credits(session, deposit.id)] == [-12000]
    assert final.gross_minor == 21000
    assert payer_standings(session, [final.id])[final.id][0].owed_minor == 9000
    prove(session)


def test_a_held_deposit_pays_its_part_when_the_invoice_is_written(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    take_deposit(act, job.id, amount_minor=10000, means="card")
    invoice = issue_invoice(act, job.id)
    assert invoice.gross_minor == 82616
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 72616
    assert any("receipt 1. No tax was due on it" in note for note in invoice.frozen["notes"])
    prove(session)


def test_a_security_pays_nothing_until_it_is_let_be_a_payment(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    security = take_deposit(act, job.id, amount_minor=10000, means="card", treatment="security")
    invoice = issue_invoice(act, job.id)
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 82616
    keep_security(act, security.id)
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 72616
    prove(session)


def test_a_deposit_over_the_agreed_sum_or_without_a_price_is_refused(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    take_deposit(act, job.id, amount_minor=80000, means="card")
    with pytest.raises(RuleBroken, match="more than the approved total"):
        take_deposit(act, job.id, amount_minor=2617, means="card")
    with pytest.raises(RuleBroken, match="Price the work first"):
        take_deposit(act, make_job(session, now).id, amount_minor=1, means="card")

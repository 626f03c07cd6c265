"""A rate of tax that changed between approval and supply is no extra: nothing is held, one sentence names it."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.queries.money.invoices import payer_standings
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers.billing import add_quote, make_job, prove, set_tax

KINDS = ["labour", "materials"]
LATER = timedelta(days=10)


def approved(session: Session, now: datetime, amount: int, rate: int = 22000, **given: Any) -> Job:
    """Work approved at 20 % VAT; at `rate` from ten days later."""
    set_tax(session, "vat", "VAT", 20000, KINDS, date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", amount)])], code="vat", **given)
    set_tax(session, "vat", "VAT", rate, KINDS, (now + LATER).date(), now)
    return job


def bill_later(session: Session, owner: Actor, now: datetime, job: Job) -> tuple[Invoice, list[str]]:
    """The invoice of the day at the new rate, which nothing was held from, and its notes."""
    day = (now + LATER).date()
    billable = bill_agreed(agreed_work(session, [job.id])[job.id], billing_day(session, day))
    assert billable.held == ()
    assert billable.beyond.over_minor == 0
    invoice = issue_invoice(Act(session, owner, now + LATER), job.id, supply_on=day)
    prove(session)
    return invoice, invoice.frozen["notes"]


def test_the_net_stays_the_deposit_keeps_its_tax_and_one_sentence_names_the_change(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    """800.64 + 20 % = 960.77, 200.00 paid on account as 166.67 + 33.33, supply at 22 %: rest 633.97 + 139.47."""
    job = approved(session, now, 80064)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="card", treatment="taxed")
    invoice, notes = bill_later(session, owner, now, job)
    assert (invoice.net_minor, invoice.tax_minor) == (63397, 13947)
    assert invoice.gross_minor + deposit.amount_minor == 97344
    assert payer_standings(session, [invoice.id])[invoice.id][0].owed_minor == 77344
    assert "VAT 22 %: +12.67" in notes


def test_a_rate_that_fell_is_named_with_its_minus(session: Session, owner: Actor, now: datetime) -> None:
    """1,000.00 approved at 20 %, supplied at 18 %: 20.00 less."""
    invoice, notes = bill_later(session, owner, now, approved(session, now, 100000, rate=18000))
    assert (invoice.net_minor, invoice.tax_minor) == (100000, 18000)
    assert "VAT 18 %: −20.00" in notes


def test_the_shop_bears_the_change_where_the_price_was_approved_with_tax_in_it(
    session: Session, owner: Actor, now: datetime
) -> None:
    """960.77 with tax stays 960.77: at 22 % it is 787.52 + 173.25."""
    invoice, notes = bill_later(session, owner, now, approved(session, now, 96077, has_tax_inside=True))
    assert (invoice.net_minor, invoice.tax_minor, invoice.gross_minor) == (78752, 17325, 96077)
    assert "VAT is now 22 %, and was 20 % when you approved. The total does not change." in notes


def test_a_shop_that_adds_the_change_bills_the_net_as_approved_at_the_new_rate(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    """960.77 with 20 % is 800.64 + 160.13; the net at 22 % is 176.14 of tax, 976.78 together."""
    job = approved(session, now, 96077, has_tax_inside=True)
    set_settings(act, {SettingName.ADDS_CHANGED_TAX: True}, date(2026, 1, 1))
    invoice, notes = bill_later(session, owner, now, job)
    assert (invoice.net_minor, invoice.tax_minor, invoice.gross_minor) == (80064, 17614, 97678)
    assert "VAT 22 %: +16.01" in notes


def test_an_unchanged_rate_says_nothing_and_the_setting_changes_nothing(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = approved(session, now, 96077, rate=20000, has_tax_inside=True)
    set_settings(act, {SettingName.ADDS_CHANGED_TAX: True}, date(2026, 1, 1))
    invoice, notes = bill_later(session, owner, now, job)
    approval = "Approved Nov 2, 2026, 12:00 pm by Ines Okafor: by text message."
    assert (invoice.gross_minor, notes) == (96077, [approval])


@pytest.mark.parametrize("has_tax_inside", [False, True])
def test_the_upper_sum_of_an_estimate_moves_with_the_rate(
    session: Session, owner: Actor, now: datetime, has_tax_inside: bool
) -> None:
    """1,000.00 estimated up to 10.00 above its price with tax: a higher rate alone asks for no new approval."""
    up_to = 101000 if has_tax_inside else 121000
    job = approved(session, now, 100000, is_estimate=True, up_to_minor=up_to, has_tax_inside=has_tax_inside)
    invoice, _ = bill_later(session, owner, now, job)
    assert invoice.gross_minor == (100000 if has_tax_inside else 122000)

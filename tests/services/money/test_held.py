"""What a payer has not approved is held, stays on the job's list, and is billed later by an invoice of its own."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers import make_customer
from tests.makers.billing import name_payer, say_pays, set_tax
from tests.makers.insured import EXTRA, LATER, REPAIR, UNTAXED, WORK, Insured


@pytest.fixture
def uk(session: Session, now: datetime) -> None:
    """VAT at 20 % on everything."""
    set_tax(session, "vat", "VAT", 20_000, ["labour", "part", "materials"], date(2026, 1, 1), now)


def test_a_job_with_something_held_is_not_settled(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    insured.work(EXTRA, kind="extra")
    insured.invoice(owner)
    take_payment(act, job_id=insured.job.id, amount_minor=50_000, means="card")
    payer = {"customer_id": insured.insurer.id, "means": "transfer"}
    take_payment(act, job_id=insured.job.id, amount_minor=131_495, **payer)
    hand_over(act, insured.job.id)
    assert insured.job.settled_at is None


def test_an_excess_that_the_first_invoice_did_not_use_up_is_used_by_the_further_one(
    session: Session, owner: Actor, now: datetime
) -> None:
    """450.00, then 97.50 more: of 547.50 the customer pays 500.00, the insurer 47.50."""
    insured = Insured(session, now)
    insured.work(("car", "Left side", [("labour", "Body and paint", 45_000)]))
    insured.invoice(owner)
    insured.work(EXTRA, kind="extra", at=LATER)
    insured.approves(4_750, "extra", LATER)
    assert insured.invoice(owner, 2 * LATER) == (9_750, 5_000, 4_750)


@pytest.mark.usefixtures("uk")
def test_of_a_registered_customer_an_extra_is_held_with_its_tax(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now, rule="excess_and_tax", excess=25_000)
    insured.work(REPAIR, code="vat")
    insured.approves(125_000)
    insured.work(EXTRA, kind="extra", code="vat")
    held = [(row.payer.name, row.amount_minor) for row in insured.stands().held]
    assert held == [("Thea Marsh", 1_950), ("Meadow Insurance", 9_750)]
    assert insured.invoice(owner) == (180_000, 55_000, 125_000)


@pytest.mark.usefixtures("uk")
def test_what_a_changed_rate_of_tax_adds_passes_no_approval(session: Session, owner: Actor, now: datetime) -> None:
    """Approved at 20 %: 1,550.00; supplied at 22 %: 1,580.00. An extra that nobody approved is held all the same."""
    insured = Insured(session, now, excess=25_000)
    insured.work(REPAIR, code="vat", at=-2 * LATER)
    insured.approves(155_000)
    insured.work(EXTRA, kind="extra", code="vat", at=-LATER)
    set_tax(session, "vat", "VAT", 22_000, ["labour"], now.date() + timedelta(days=1), now)
    day_after = timedelta(days=1)
    assert insured.invoice(owner, day_after) == (183_000, 25_000, 158_000)


def test_with_nothing_answered_only_the_excess_is_billed_and_the_rest_once_it_is_approved(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    assert insured.invoice(owner) == (50_000, 50_000, 0)
    insured.approves(131_495, at=LATER)
    assert insured.invoice(owner, 2 * LATER) == (131_495, 0, 131_495)


def test_an_insurer_that_approves_less_than_its_share_is_billed_that_much(
    session: Session, owner: Actor, now: datetime
) -> None:
    """1,200.00 of 1,314.95: 114.95 is held, and nothing of it is lost when it comes."""
    insured = Insured(session, now)
    insured.work(UNTAXED)
    insured.approves(120_000)
    assert insured.invoice(owner) == (170_000, 50_000, 120_000)
    assert [row.amount_minor for row in insured.stands().held] == [11_495]
    insured.approves(131_495, at=LATER)
    assert insured.invoice(owner, 2 * LATER) == (11_495, 0, 11_495)


def test_with_nothing_approved_and_no_excess_nothing_can_be_billed(session: Session, now: datetime, act: Act) -> None:
    insured = Insured(session, now, excess=0)
    insured.work(WORK)
    with pytest.raises(RuleBroken, match="Save the approval of Meadow Insurance first"):
        issue_invoice(act, insured.job.id)


def test_hours_beyond_an_estimate_within_the_allowance_pass_no_payers_approval(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    set_settings(act, {SettingName.ALLOWANCE_PERMILLE: 100}, date(2026, 1, 1))
    insured = Insured(session, now)
    insured.work(WORK, is_estimate=True)
    insured.approves(131_495)
    add_part(act, insured.job.id, name="Clip", cost_minor=900, price_minor=2_000, source="new")
    assert insured.invoice(owner) == (183_655, 50_000, 133_655)


def test_a_taxed_sum_cut_in_two_never_passes_the_approval(session: Session, owner: Actor, now: datetime) -> None:
    """The cut line is taxed: the second invoice rounds its tax for itself, a unit at most."""
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(120_000)
    first = insured.invoice(owner)
    insured.approves(131_495, at=LATER)
    second = insured.invoice(owner, 2 * LATER)
    assert first == (170_000, 50_000, 120_000)
    assert 131_494 <= first[2] + second[2] <= 131_495


def test_three_payers_each_pay_their_own_and_a_fixed_sum_not_approved_is_held_alone(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    dealer = make_customer(session, "Millpond Motors", "", kind="dealer")
    name_payer(session, insured.job, dealer, "fixed", 20_000)
    insured.work(UNTAXED)
    insured.approves(111_495)
    assert insured.invoice(owner) == (161_495, 50_000, 111_495, 0)
    say_pays(session, insured.job, dealer, 20_000, now + LATER)
    assert insured.invoice(owner, 2 * LATER) == (20_000, 0, 0, 20_000)


def test_the_items_of_a_payer_that_has_not_approved_them_are_held_alone(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    dealer = make_customer(session, "Millpond Motors", "", kind="dealer")
    name_payer(session, insured.job, dealer, "lines", group_keys="behind")
    insured.work(WORK, EXTRA)
    insured.approves(131_495)
    assert insured.invoice(owner) == (181_495, 50_000, 131_495, 0)
    say_pays(session, insured.job, dealer, 9_750, now + LATER)
    assert insured.invoice(owner, 2 * LATER) == (9_750, 0, 0, 9_750)

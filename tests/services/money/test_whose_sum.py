"""Whose sum: what each payer is billed of a job, what is at the shop's risk, and how older approvals are read."""

from datetime import date, datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.queries.money.approvals import agreed_quotes
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.waiting import waiting_to_invoice
from shopbook.queries.money.whose import readings_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.readings import read_approval_as
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import list_to_invoice, risk_of_job
from tests.makers.billing import add_quote, make_job, say_pays, set_tax
from tests.makers.insured import EXTRA, LATER, WORK, Insured, billed


@pytest.fixture
def uk(session: Session, now: datetime) -> None:
    """VAT at 20 % on everything."""
    set_tax(session, "vat", "VAT", 20_000, ["labour", "part", "materials"], date(2026, 1, 1), now)


def test_an_insurer_pays_the_total_less_the_excess(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    assert insured.invoice(owner) == (181_495, 50_000, 131_495)


def test_an_extra_that_the_insurer_approved_is_the_insurers(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    insured.work(EXTRA, kind="extra")
    insured.approves(9_750, "extra")
    assert insured.invoice(owner) == (191_245, 50_000, 141_245)


def test_an_extra_that_the_customer_agreed_to_pay_is_the_customers(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    insured.work(EXTRA, kind="extra")
    insured.customer_pays(9_750)
    assert risk_of_job(session, insured.job.id) == 0
    assert insured.invoice(owner) == (191_245, 59_750, 131_495)


def test_an_extra_that_nobody_agreed_to_pay_is_held_and_billed_later_by_an_invoice_of_its_own(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    insured.work(EXTRA, kind="extra")
    stands = insured.stands()
    assert [(row.payer.name, row.amount_minor) for row in stands.held] == [("Meadow Insurance", 9_750)]
    assert [(row.name, row.owed_minor) for row in stands.owing] == [
        ("Thea Marsh", 50_000),
        ("Meadow Insurance", 131_495),
    ]
    assert insured.invoice(owner) == (181_495, 50_000, 131_495)
    assert [row.amount_minor for row in insured.stands().held] == [9_750], "it stays on the job's list"
    insured.job.ready_at = now
    ((listed, stands),) = waiting_to_invoice(ShopOn(session, now.date()))
    assert (listed.id, stands.rest_minor, stands.is_invoiced) == (insured.job.id, 0, True), "not billed yet, only held"
    insured.approves(9_750, "extra", LATER)
    assert [job.id for job in list_to_invoice(session, now.date())] == [insured.job.id]
    assert insured.invoice(owner, 2 * LATER) == (9_750, 0, 9_750)
    assert insured.stands().held == ()


def test_a_final_sum_under_the_excess_leaves_the_insurer_nothing(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(("car", "Left side", [("labour", "Body and paint", 45_000)]))
    assert risk_of_job(session, insured.job.id) == 0
    assert insured.invoice(owner) == (45_000, 45_000, 0)


def test_betterment_is_the_customers_with_its_tax(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now, betterment_minor=6_000, betterment_code="sales")
    insured.work(WORK)
    insured.approves(125_015)
    assert insured.invoice(owner) == (181_495, 56_480, 125_015)


@pytest.mark.usefixtures("uk")
@pytest.mark.parametrize(
    ("rule", "net", "betterment", "deposit", "shares"),
    [
        ("excess", 150_000, 0, 0, (180_000, 25_000, 155_000)),
        ("excess_and_tax", 150_000, 0, 0, (180_000, 55_000, 125_000)),
        ("excess_and_tax", 150_000, 6_000, 0, (180_000, 61_000, 119_000)),
        ("excess_and_tax", 150_000, 0, 20_000, (160_000, 35_000, 125_000)),
        ("excess_and_tax", 20_000, 0, 0, (24_000, 24_000, 0)),
    ],
)
def test_a_uk_customer_registered_for_vat_pays_it_and_the_insurer_the_net(
    session: Session,
    owner: Actor,
    now: datetime,
    act: Act,
    rule: str,
    net: int,
    betterment: int,
    deposit: int,
    shares: tuple[int, int, int],
) -> None:
    """HMRC VIT13500 and VATSC06540; of a deposit of 200.00 the customer pays 350.00 on collection."""
    insured = Insured(session, now, rule=rule, excess=25_000, betterment_minor=betterment, betterment_code="vat")
    insured.work(("car", "Left side", [("labour", "Body and paint", net)]), code="vat")
    insured.approves(shares[2])
    if deposit:
        given = {"amount_minor": deposit, "means": "card", "treatment": "taxed"}
        take_deposit(act, insured.job.id, **given)
        assert insured.stands().owed_by(insured.thea.id, now.date()) == shares[1]
    assert insured.invoice(owner) == shares


def test_at_the_shops_risk_is_what_the_other_payer_bears_and_has_not_approved(
    session: Session, owner: Actor, now: datetime
) -> None:
    """1,903.33 with an excess of 500.00: 1,403.33, then 0, then the 97.50 that the customer alone approved."""
    insured = Insured(session, now)
    insured.work(("car", "Left side", [("labour", "Body and paint", 190_333)]))
    assert risk_of_job(session, insured.job.id) == 140_333
    insured.approves(140_333)
    assert risk_of_job(session, insured.job.id) == 0
    insured.work(EXTRA, kind="extra")
    assert risk_of_job(session, insured.job.id) == 9_750
    insured.approves(9_750, "extra")
    insured.invoice(owner)
    assert risk_of_job(session, insured.job.id) == 0


@pytest.mark.parametrize(
    ("amount", "pays", "is_open"), [(131_495, 131_495, False), (181_495, 131_495, True), (170_000, 120_000, True)]
)
def test_an_approval_kept_before_is_the_share_or_stands_for_the_whole_bill(
    session: Session, now: datetime, amount: int, pays: int, is_open: bool
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    say_pays(session, insured.job, insured.insurer, amount, now, pays_minor=None)
    quotes = agreed_quotes(session, insured.job.id)
    (reading,) = readings_of(payers_of(session, insured.job), quotes)
    assert (reading.pays_minor, reading.as_share_minor, reading.as_whole_minor) == (pays, amount, amount - 50_000)
    assert reading.is_open is is_open


def test_one_press_says_how_an_older_approval_is_read_and_another_says_otherwise(
    session: Session, now: datetime, act: Act
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    approval = say_pays(session, insured.job, insured.insurer, 130_000, now, pays_minor=None)
    assert risk_of_job(session, insured.job.id) == 131_495 - 80_000
    read_approval_as(act, approval.id, is_whole=False)
    assert risk_of_job(session, insured.job.id) == 1_495
    read_approval_as(act, approval.id, is_whole=True)
    assert risk_of_job(session, insured.job.id) == 51_495
    new = insured.approves(131_495)
    with pytest.raises(RuleBroken, match="already says what the payer pays"):
        read_approval_as(act, new.id, is_whole=True)


def test_a_customer_who_is_the_only_payer_approves_work_and_sum_at_once(
    session: Session, now: datetime, act: Act
) -> None:
    job: Job = make_job(session, now)
    add_quote(session, job, now, [WORK])
    paper = issue_invoice(act, job.id)
    assert (billed(session, paper), risk_of_job(session, job.id)) == ([181_495], 0)
    assert session.get_one(Customer, job.customer_id or 0).name

"""Whose sum: each payer is billed at most what it approved, what is not is held, and the figures are those of the trade."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job, JobPart
from shopbook.models.money import Agreement, AgreementGroup, Invoice, InvoicePayer
from shopbook.queries.money.agreements import agreed_quotes
from shopbook.queries.money.owed import job_stands, list_to_invoice
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.whose import readings_of, risk_of_job
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.readings import read_approval_as
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.makers import make_customer
from tests.makers.billing import add_quote, make_job, name_payer, prove, say_pays, set_tax

LATER = timedelta(hours=2)
WORK = ("car", "Left side", [("labour", "Body and paint", 100_000), ("part", "Fender", 75_458)])
"""US: labor without tax, parts at 8 %: 1,000.00 + 754.58 + 60.37 = 1,814.95."""
UNTAXED = ("car", "Left side", [("labour", "Body and paint", 100_000), ("labour", "Paint", 81_495)])
"""The same total without tax: a sum cut in two invoices rounds its tax twice, which may be a unit less or more."""
EXTRA = ("behind", "Rust behind it", [("labour", "Cut out and weld", 9_750)])
REPAIR = ("car", "Left side", [("labour", "Body and paint", 150_000)])
"""UK: 1,500.00 + VAT 300.00."""


class Insured:
    """A job with a customer who bears an excess and an insurer who pays the rest."""

    def __init__(self, session: Session, now: datetime, *, rule: str = "excess", excess: int = 50_000, **given: Any):
        self.session, self.now = session, now
        self.thea = make_customer(session, "Thea Marsh", "555-0101")
        self.insurer = make_customer(session, "Meadow Insurance", "", kind="insurer", pays_within_days=30)
        self.job = make_job(session, now, self.thea, payer_kind="insurer")
        name_payer(session, self.job, self.thea, rule, excess, **given)
        name_payer(session, self.job, self.insurer, "rest")

    def work(self, *groups: Any, kind: str = "quote", at: timedelta = timedelta(0), **given: Any) -> None:
        add_quote(self.session, self.job, self.now + at, groups, kind=kind, **given)

    def approves(self, pays: int, kind: str = "quote", at: timedelta = timedelta(0)) -> Agreement:
        return say_pays(self.session, self.job, self.insurer, pays, self.now + at, kind)

    def customer_pays(self, minor: int) -> None:
        """The newest approval of the customer becomes one to pay as well; before it is kept, as the form does."""
        yes = self.session.scalars(select(Agreement).where(Agreement.party == "owner").order_by(Agreement.id)).all()[-1]
        again = {
            name: getattr(yes, name) for name in ("job_id", "quote_id", "party", "customer_id", "means", "said_by")
        }
        row = Agreement(**again, words="", signature="", amount_minor=minor, pays_minor=minor, at=yes.at, on=yes.on)
        self.session.add(row)
        self.session.flush()
        for mark in self.session.scalars(select(AgreementGroup).where(AgreementGroup.agreement_id == yes.id)).all():
            self.session.add(AgreementGroup(agreement_id=row.id, group_id=mark.group_id, is_taken=mark.is_taken))
        self.session.flush()

    def invoice(self, owner: Actor, at: timedelta = timedelta(0)) -> tuple[int, int, int]:
        """An invoice is written: its total with tax and what customer and insurer are billed."""
        paper = issue_invoice(self.session, owner, self.now + at, self.job.id)
        prove(self.session)
        return paper.gross_minor, *billed(self.session, paper)

    def stands(self) -> Any:
        return job_stands(self.session, [self.job.id], self.now.date())[self.job.id]


def billed(session: Session, paper: Invoice) -> list[int]:
    rows = session.scalars(select(InvoicePayer).where(InvoicePayer.invoice_id == paper.id).order_by(InvoicePayer.id))
    return [row.share_minor for row in rows]


@pytest.fixture
def uk(session: Session, now: datetime) -> None:
    """VAT at 20 % on everything."""
    set_tax(session, "vat", "VAT", 20_000, '["labour", "part", "materials"]', date(2026, 1, 1), now)


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
    assert list_to_invoice(session, now.date()) == []
    insured.approves(9_750, "extra", LATER)
    assert [job.id for job in list_to_invoice(session, now.date())] == [insured.job.id]
    assert insured.invoice(owner, 2 * LATER) == (9_750, 0, 9_750)
    assert insured.stands().held == ()


def test_a_job_with_something_held_is_not_settled(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    insured.approves(131_495)
    insured.work(EXTRA, kind="extra")
    insured.invoice(owner)
    take_payment(session, owner, now, job_id=insured.job.id, amount_minor=50_000, means="card")
    payer = {"customer_id": insured.insurer.id, "means": "transfer"}
    take_payment(session, owner, now, job_id=insured.job.id, amount_minor=131_495, **payer)
    hand_over(session, owner, now, insured.job.id)
    assert insured.job.settled_at is None


def test_a_final_sum_under_the_excess_leaves_the_insurer_nothing(session: Session, owner: Actor, now: datetime) -> None:
    insured = Insured(session, now)
    insured.work(("car", "Left side", [("labour", "Body and paint", 45_000)]))
    assert risk_of_job(session, insured.job.id) == 0
    assert insured.invoice(owner) == (45_000, 45_000, 0)


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
        take_deposit(session, owner, now, insured.job.id, **given)
        assert insured.stands().owed_by(insured.thea.id, now.date()) == shares[1]
    assert insured.invoice(owner) == shares


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
    set_tax(session, "vat", "VAT", 22_000, '["labour"]', now.date() + timedelta(days=1), now)
    day_after = timedelta(days=1)
    assert insured.invoice(owner, day_after) == (183_000, 25_000, 158_000)


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


def test_with_nothing_approved_and_no_excess_nothing_can_be_billed(
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now, excess=0)
    insured.work(WORK)
    with pytest.raises(RuleBroken, match="keep the approval of Meadow Insurance first"):
        issue_invoice(session, owner, now, insured.job.id)


def test_hours_beyond_an_estimate_within_the_allowance_pass_no_payers_approval(
    session: Session, owner: Actor, now: datetime
) -> None:
    set_settings(session, owner, now, {SettingName.ALLOWANCE_PERMILLE: 100}, date(2026, 1, 1))
    insured = Insured(session, now)
    insured.work(WORK, is_estimate=True)
    insured.approves(131_495)
    clip = {"source": "new", "quote_group_key": "", "cost_minor": 900, "is_touched": True, "line_key": 90}
    session.add(JobPart(job_id=insured.job.id, kind="part", name="Clip", price_minor=2_000, **clip))
    session.flush()
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
    session: Session, owner: Actor, now: datetime
) -> None:
    insured = Insured(session, now)
    insured.work(WORK)
    yes = say_pays(session, insured.job, insured.insurer, 130_000, now, pays_minor=None)
    assert risk_of_job(session, insured.job.id) == 131_495 - 80_000
    read_approval_as(session, owner, now, yes.id, is_whole=False)
    assert risk_of_job(session, insured.job.id) == 1_495
    read_approval_as(session, owner, now, yes.id, is_whole=True)
    assert risk_of_job(session, insured.job.id) == 51_495
    new = insured.approves(131_495)
    with pytest.raises(RuleBroken, match="nothing to choose"):
        read_approval_as(session, owner, now, new.id, is_whole=True)


def test_a_customer_who_is_the_only_payer_approves_work_and_sum_at_once(
    session: Session, owner: Actor, now: datetime
) -> None:
    job: Job = make_job(session, now)
    add_quote(session, job, now, [WORK])
    paper = issue_invoice(session, owner, now, job.id)
    assert (billed(session, paper), risk_of_job(session, job.id)) == ([181_495], 0)
    assert session.get_one(Customer, job.customer_id or 0).name

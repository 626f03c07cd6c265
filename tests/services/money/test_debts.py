"""Debt: written off in part or all, recovered by later money, or what one payer still owes charged to another."""

from datetime import date, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceApproval, InvoicePayer, Payment
from shopbook.queries.money.debts import debt_tax, written_off
from shopbook.queries.money.invoices import get_invoice, payer_standings
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payments import free_of
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.corrections import correct_invoice
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.hand_over import let_go
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.rests import move_rest
from shopbook.services.money.write_offs import write_off
from shopbook.services.shop.rates import set_settings
from shopbook.trade.billing.bad_debts import DebtTax
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Role
from shopbook.trade.settings import SettingName
from tests.makers import make_person
from tests.makers.billing import add_quote, make_job, prove, say_pays, set_tax
from tests.makers.insured import insured_invoice

BY_PHONE = ApprovalSaid("Thea Okafor", "phone")


def repair_invoice(session: Session, act: Act, now: datetime) -> Invoice:
    """1,000.00 + VAT 200.00, one payer."""
    set_tax(session, "vat", "VAT", 20000, ["labour"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    return issue_invoice(act, job.id)


def insured(session: Session, act: Act) -> tuple[Invoice, int, int]:
    """The customer paid its 500.00, the insurer 1,302.55 of its 1,314.95; invoice and both ids."""
    first, insurer = insured_invoice(act)
    take_payment(act, job_id=first.job_id, amount_minor=50000, means="card")
    take_payment(act, job_id=first.job_id, amount_minor=130255, means="transfer", customer_id=insurer.id)
    assert first.customer_id is not None
    return first, first.customer_id, insurer.id


def owed(session: Session, invoice: Invoice) -> list[tuple[int, int]]:
    return [(row.share_minor, row.owed_minor) for row in payer_standings(session, [invoice.id])[invoice.id]]


def tax_in(session: Session, invoice: Invoice, who: int | None, debt: int) -> DebtTax:
    return debt_tax(session, invoice, payer_standings(session, [invoice.id])[invoice.id], who, debt)


def test_a_part_is_written_off_and_tax_and_papers_stay(session: Session, now: datetime, act: Act) -> None:
    invoice = repair_invoice(session, act, now)
    who = invoice.customer_id
    take_payment(act, job_id=invoice.job_id, amount_minor=30000, means="card")
    write_off(act, invoice.id, customer_id=who, reason="moved away", amount_minor=40000)
    assert owed(session, invoice) == [(120000, 50000)]
    write_off(act, invoice.id, customer_id=who, reason="moved away")
    assert (owed(session, invoice), written_off(session, invoice.id)) == ([(120000, 0)], {who: 90000})
    assert [paper.kind for paper in session.scalars(select(Invoice))] == ["invoice"]
    assert list_owed(session) == []
    with pytest.raises(RuleBroken, match="Nothing is owed"):
        write_off(act, invoice.id, customer_id=who, reason="again")
    prove(session)


def test_the_tax_in_a_debt_is_said_with_the_day_in_the_uk_alone(session: Session, now: datetime, act: Act) -> None:
    """1,200.00 with 200.00 tax, 300.00 paid; due on November 5: 150.00, from May 5."""
    invoice = repair_invoice(session, act, now)
    who = invoice.customer_id
    take_payment(act, job_id=invoice.job_id, amount_minor=30000, means="card")
    assert tax_in(session, invoice, who, 90000) == DebtTax(15000, None)
    get_book(session).country = "gb"
    assert tax_in(session, invoice, who, 90000) == DebtTax(15000, date(2027, 5, 5))
    assert tax_in(session, invoice, 999, 90000) == DebtTax(0, None)
    credit_invoice(act, invoice.id, reason="goodwill", amount_minor=12000)
    assert tax_in(session, invoice, who, 78000).tax_minor == 13000


def test_the_desk_writes_off_up_to_its_limit_in_all_and_the_owner_any_sum(
    session: Session, now: datetime, act: Act
) -> None:
    invoice, who = (found := repair_invoice(session, act, now)), found.customer_id
    desk = Act(session, make_person(session, "Desk", Role.DESK), now)
    write_off(desk, invoice.id, customer_id=who, reason="coins", amount_minor=300)
    with pytest.raises(RuleBroken, match=r"up to .5\.00"):
        write_off(desk, invoice.id, customer_id=who, reason="coins", amount_minor=201)
    set_settings(act, {SettingName.WRITE_OFF_LIMIT_MINOR: 2000}, now.date())
    write_off(desk, invoice.id, customer_id=who, reason="coins", amount_minor=1700)
    write_off(act, invoice.id, customer_id=who, reason="gone")
    for reason, amount, sentence in ((" ", 100, "reason"), ("gone", 0, "Nothing is owed")):
        with pytest.raises(RuleBroken, match=sentence):
            write_off(act, invoice.id, customer_id=who, reason=reason, amount_minor=amount)


def test_later_money_is_bad_debt_recovered_and_the_rest_stays_written_off(
    session: Session, now: datetime, act: Act
) -> None:
    invoice, who = (found := repair_invoice(session, act, now)), found.customer_id
    let_go(act, invoice.job_id, "on account")
    take_payment(act, job_id=invoice.job_id, amount_minor=30000, means="card")
    write_off(act, invoice.id, customer_id=who, reason="bankrupt")
    later = take_payment(act, job_id=invoice.job_id, amount_minor=25000, means="transfer")
    assert written_off(session, invoice.id) == {who: 65000}
    line = session.scalars(select(Payment).where(Payment.kind == "recovered")).one()
    assert (line.amount_minor, line.reason, line.series) == (-25000, "Bad debt recovered", "difference")
    assert free_of(session, later.id) == 0
    over = take_payment(act, job_id=invoice.job_id, amount_minor=70000, means="transfer")
    assert (written_off(session, invoice.id), free_of(session, over.id)) == ({}, 5000)
    assert session.get_one(Job, invoice.job_id).settled_at is None, "5.00 are the customer's"
    prove(session)


def test_money_pays_what_is_open_before_it_recovers_anything(session: Session, now: datetime, act: Act) -> None:
    invoice, who = (found := repair_invoice(session, act, now)), found.customer_id
    write_off(act, invoice.id, customer_id=who, reason="short", amount_minor=1240)
    take_payment(act, job_id=invoice.job_id, amount_minor=118760, means="card")
    assert written_off(session, invoice.id) == {who: 1240}
    assert session.scalars(select(Payment).where(Payment.kind == "recovered")).all() == []


def test_what_an_insurer_is_short_by_is_charged_to_the_customer_once_approved(
    session: Session, now: datetime, act: Act
) -> None:
    invoice, customer, insurer = insured(session, act)
    gone = {"from_id": insurer, "to_id": customer, "amount_minor": 1240, "reason": "the insurer pays no more"}
    with pytest.raises(RuleBroken, match=r"Say who approved .12\.40 more") as broken:
        move_rest(act, invoice.id, **gone)  # type: ignore[arg-type]  # one mapping of several types
    assert broken.value.field == "approvals"
    move_rest(act, invoice.id, **gone, approval=BY_PHONE)  # type: ignore[arg-type]
    assert owed(session, invoice) == [(51240, 1240), (130255, 0)]
    assert get_invoice(session, invoice.id).gross_minor == 181495
    approval = session.scalars(select(InvoiceApproval)).one()
    assert (approval.kind, approval.amount_minor, approval.customer_id) == ("rest", 1240, customer)
    take_payment(act, job_id=invoice.job_id, amount_minor=1240, means="card")
    assert list_owed(session) == []
    moved = session.scalars(select(InvoicePayer.share_minor).where(InvoicePayer.words == "moved")).all()
    assert list(moved) == [-1240, 1240]
    prove(session)


def test_a_moved_rest_stays_moved_when_the_invoice_is_corrected_or_credited(
    session: Session, now: datetime, act: Act
) -> None:
    invoice, customer, insurer = insured(session, act)
    move_rest(act, invoice.id, from_id=insurer, to_id=customer, amount_minor=1240, reason="short", approval=BY_PHONE)
    corrected = correct_invoice(act, invoice.id, Right("Address", to_lines=["1 Mill Yard"]))
    assert owed(session, corrected) == [(51240, 1240), (130255, 0)]
    prove(session)
    credit_invoice(act, corrected.id, reason="all of it")
    assert owed(session, corrected) == [(0, 0), (0, 0)]
    prove(session)


def test_a_rest_within_what_the_other_payer_approved_needs_no_further_word(
    session: Session, now: datetime, act: Act
) -> None:
    invoice, _, insurer = insured(session, act)
    say_pays(session, session.get_one(Job, invoice.job_id), session.get_one(Customer, insurer), 140000, now)
    corrected = correct_invoice(act, invoice.id, Right("More", amounts={0: 186495}))
    assert owed(session, corrected) == [(50000, 0), (136495, 6240)]
    write_off(act, corrected.id, customer_id=insurer, reason="short")
    assert session.scalars(select(InvoiceApproval)).all() == []
    assert payer_standings(session, [corrected.id])[corrected.id][1].paid_minor == 130255, "never paid"


@pytest.mark.parametrize(
    ("more", "sentence"),
    [({"reason": " "}, "reason"), ({"amount_minor": 0}, "Enter an amount"), ({"amount_minor": 1241}, r"Only .12\.40")],
)
def test_a_rest_is_moved_with_a_reason_and_never_more_than_is_owed(
    session: Session, now: datetime, act: Act, more: dict[str, object], sentence: str
) -> None:
    invoice, customer, insurer = insured(session, act)
    typed = {"from_id": insurer, "to_id": customer, "amount_minor": 1240, "reason": "short", "approval": BY_PHONE}
    with pytest.raises(RuleBroken, match=sentence):
        move_rest(act, invoice.id, **(typed | more))  # type: ignore[arg-type]
    with pytest.raises(RuleBroken, match="another payer"):
        move_rest(act, invoice.id, **(typed | {"to_id": insurer}))  # type: ignore[arg-type]

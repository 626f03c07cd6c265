"""An invoice is corrected: two papers in one act, the money moves payer by payer, what passes an approval is asked."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceApproval, MonthClose, Payment
from shopbook.queries.money.invoices import get_invoice, payer_standings
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.owed import job_stands, list_owed
from shopbook.queries.money.payments import free_of, list_invoice_payments
from shopbook.services.act import Act
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.correction_plans import plan_correction
from shopbook.services.money.corrections import AS_CREDIT, correct_invoice
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.quick import quick_job
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.asking import list_to_invoice
from tests.makers.billing import add_quote, make_job, prove, set_tax

DOOR = ("left_front_door", "Left front door", [("labour", "Work", 20900), ("materials", "Paint and materials", 6140)])
TODAY = date(2026, 11, 5)
WRONG_PRICE = Right("The door was priced wrong", amounts={0: 18900})
BY_PHONE = ApprovalSaid("Thea Okafor", "phone")


def door_invoice(session: Session, act: Act, now: datetime) -> Invoice:
    """275.31, of it 4.91 tax."""
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR])
    return issue_invoice(act, job.id)


def uk_invoice(session: Session, act: Act, now: datetime) -> Invoice:
    """800.00 + 160.00 less a deposit of 200.00 + 40.00: 720.00."""
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 80000)])], code="vat")
    take_deposit(act, job.id, amount_minor=24000, means="card", treatment="taxed")
    return issue_invoice(act, job.id)


def owed(session: Session, invoice: Invoice) -> list[int]:
    return [row.owed_minor for row in payer_standings(session, [invoice.id])[invoice.id]]


def test_twenty_of_a_paid_invoice_go_back_by_the_means_that_they_came(
    session: Session, now: datetime, act: Act, owner: Actor
) -> None:
    first = door_invoice(session, act, now)
    take_payment(act, job_id=first.job_id, amount_minor=27531, means="card")
    hand_over(act, first.job_id)
    later = Act(session, owner, now + timedelta(days=4))
    corrected = get_invoice(session, correct_invoice(later, first.id, WRONG_PRICE).id)
    note = session.scalars(select(Invoice).where(Invoice.kind == "credit")).one()
    assert (note.number, note.gross_minor, note.credits_id) == (1, -27531, first.id)
    assert (corrected.number, corrected.gross_minor, corrected.corrects_id) == (2, 25531, first.id)
    assert {note.issued_on, note.supply_on, corrected.issued_on, corrected.supply_on} == {date(2026, 11, 9)}
    assert ["Work finished", "Thursday, November 5, 2026"] in corrected.frozen["facts"]
    assert corrected.frozen["facts"][-1] == ["Replaces", "invoice 1 of November 5, 2026"]
    assert note.reason == corrected.reason == WRONG_PRICE.reason
    back = session.scalars(select(Payment).where(Payment.kind == "refund")).one()
    assert (back.amount_minor, back.means) == (-2000, "card")
    assert owed(session, first) == owed(session, corrected) == [0]
    assert session.get_one(Job, first.job_id).settled_at is not None
    prove(session)


def test_what_is_over_may_go_back_otherwise_or_stay_as_credit(session: Session, now: datetime, act: Act) -> None:
    first = door_invoice(session, act, now)
    paid = take_payment(act, job_id=first.job_id, amount_minor=27531, means="card")
    again = correct_invoice(act, first.id, WRONG_PRICE, over=AS_CREDIT)
    assert free_of(session, paid.id) == 2000
    correct_invoice(act, again.id, Right("Once more", amounts={0: 17900}), over="cash")
    back = session.scalars(select(Payment).where(Payment.kind == "refund")).one()
    assert (back.amount_minor, back.means, free_of(session, paid.id)) == (-1000, "cash", 2000)
    prove(session)


def test_the_corrected_invoice_takes_the_same_deposit_off(session: Session, now: datetime, act: Act) -> None:
    first = uk_invoice(session, act, now)
    assert first.gross_minor == 72000
    take_payment(act, job_id=first.job_id, amount_minor=72000, means="transfer")
    corrected = correct_invoice(act, first.id, Right("The price was 760", amounts={0: 76000}))
    note = session.scalars(select(Invoice).where(Invoice.kind == "credit")).one()
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    assert (note.gross_minor, note.credits_id) == (-72000, first.id)
    assert (corrected.net_minor, corrected.tax_minor, corrected.gross_minor) == (56000, 11200, 67200)
    printed = [(row["title"], row["labour"] + row["whole"]) for row in corrected.frozen["groups"]]
    assert printed == [("Repair", 76000), ("Deposit, invoice 1 of November 5, 2026", -20000)]
    back = session.scalars(select(Payment).where(Payment.kind == "refund")).one()
    assert back.amount_minor == -4800
    assert owed(session, deposit) == owed(session, corrected) == [0]
    prove(session)


def test_a_higher_price_asks_for_the_approval_and_opens_the_job_again(
    session: Session, now: datetime, act: Act
) -> None:
    first = uk_invoice(session, act, now)
    take_payment(act, job_id=first.job_id, amount_minor=72000, means="transfer")
    hand_over(act, first.job_id)
    assert session.get_one(Job, first.job_id).settled_at is not None
    right = Right("The price was 840", amounts={0: 84000})
    with pytest.raises(RuleBroken, match=r"Say who approved .48\.00 more"), session.begin_nested():
        correct_invoice(act, first.id, right)
    assert session.scalars(select(Invoice).where(Invoice.kind == "credit")).all() == []
    who = session.get_one(Job, first.job_id).customer_id
    corrected = correct_invoice(act, first.id, right, approvals={who: BY_PHONE})
    assert (corrected.gross_minor, owed(session, corrected)) == (76800, [4800])
    assert session.get_one(Job, first.job_id).settled_at is None
    approval = session.scalars(select(InvoiceApproval)).one()
    assert (approval.amount_minor, approval.said_by, approval.means) == (4800, "Thea Okafor", "phone")
    assert [line.owed_minor for line in list_owed(session)] == [4800]
    prove(session)


def test_what_was_corrected_is_not_left_to_bill_and_a_later_extra_is(session: Session, now: datetime, act: Act) -> None:
    first = door_invoice(session, act, now)
    correct_invoice(act, first.id, WRONG_PRICE)
    with pytest.raises(Conflict, match="bills everything approved"):
        issue_invoice(act, first.job_id)
    job, later = session.get_one(Job, first.job_id), now + timedelta(hours=2)
    extra = [("left_front_door", "Behind the panel", [("labour", "Work", 5000)])]
    add_quote(session, job, later, extra, kind="extra")
    stands = job_stands(session, [job.id], TODAY)[job.id]
    assert stands.rest_minor == 5000
    assert issue_invoice(Act(session, act.actor, later), job.id).gross_minor == 5000
    prove(session)


def test_an_extra_approved_before_the_correction_still_waits_for_its_invoice(
    session: Session, now: datetime, act: Act, owner: Actor
) -> None:
    first = door_invoice(session, act, now)
    job, later = session.get_one(Job, first.job_id), now + timedelta(hours=2)
    job.agreed_at, job.ready_at = now, now
    add_quote(session, job, later, [("car", "Arch", [("labour", "Work", 5000)])], kind="extra")
    correct_invoice(Act(session, owner, later + timedelta(hours=1)), first.id, WRONG_PRICE)
    assert job_stands(session, [job.id], TODAY)[job.id].rest_minor == 5000
    assert [row.id for row in list_to_invoice(session, TODAY)] == [job.id]


def test_an_extra_is_billed_after_a_price_that_went_up(session: Session, now: datetime, act: Act) -> None:
    first = door_invoice(session, act, now)
    who = session.get_one(Job, first.job_id).customer_id
    dearer = Right("Forgot an hour", amounts={0: 40900})
    second = correct_invoice(act, first.id, dearer, approvals={who: BY_PHONE})
    third = correct_invoice(act, second.id, Right("Wrong address", to_lines=["1 Mill Yard"]))
    assert third.gross_minor == second.gross_minor
    assert issued_of(session, [first.job_id])[first.job_id].repriced == {who: 20000}
    later = now + timedelta(hours=2)
    extra = [("car", "Wheel arch", [("labour", "Work", 5000)])]
    add_quote(session, session.get_one(Job, first.job_id), later, extra, kind="extra")
    assert issue_invoice(Act(session, act.actor, later), first.job_id).gross_minor == 5000
    prove(session)


def test_words_address_and_order_number_are_put_right_with_equal_sums(
    session: Session, now: datetime, act: Act
) -> None:
    first = door_invoice(session, act, now)
    take_payment(act, job_id=first.job_id, amount_minor=27531, means="cash")
    right = Right(
        "Address",
        items={0: ("Right front door", "dent taken out")},
        to="Okafor Cleaning",
        to_lines=["4 Quay Street", "", "Millbrook"],
        order="PO 77",
    )
    corrected = get_invoice(session, correct_invoice(act, first.id, right).id)
    frozen = corrected.frozen
    assert (frozen["to"], frozen["to_lines"]) == ("Okafor Cleaning", ["4 Quay Street", "Millbrook"])
    assert frozen["facts"][-1] == ["Your order", "PO 77"]
    assert [(row["title"], row["below"]) for row in frozen["groups"]] == [("Right front door", "dent taken out")]
    assert {line.group_title for line in corrected.lines} == {"Right front door"}
    assert (corrected.net_minor, corrected.tax_minor) == (27040, 491)
    assert [(payment.number, amount) for payment, amount in list_invoice_payments(session, corrected.id)] == [
        (1, 27531)
    ]
    assert session.scalars(select(Payment).where(Payment.kind == "refund")).all() == []
    again = get_invoice(session, correct_invoice(act, corrected.id, Right("Number", order="PO 78")).id)
    assert [fact for fact in again.frozen["facts"] if fact[0] in {"Replaces", "Your order"}] == [
        ["Replaces", "invoice 2 of November 5, 2026"],
        ["Your order", "PO 78"],
    ]
    prove(session)


def test_the_act_refuses_where_a_number_or_a_figure_moved_since_it_was_looked_at(
    session: Session, now: datetime, act: Act
) -> None:
    first = door_invoice(session, act, now)
    seen = plan_correction(session, now, act.day, first.id, WRONG_PRICE).seen
    with pytest.raises(Conflict, match="not the papers you looked at"):
        correct_invoice(act, first.id, Right("Other", amounts={0: 18900}), seen=seen)
    take_payment(act, job_id=first.job_id, amount_minor=27531, means="card")
    with pytest.raises(Conflict, match="not the papers you looked at"):
        correct_invoice(act, first.id, WRONG_PRICE, seen=seen)
    seen = plan_correction(session, now, act.day, first.id, WRONG_PRICE).seen
    quick_job(act, who="Ruth", what="Valve cap", price_minor=500, means="cash")
    with pytest.raises(Conflict, match="credit note 1 and invoice 3 now"):
        correct_invoice(act, first.id, WRONG_PRICE, seen=seen)
    seen = plan_correction(session, now, act.day, first.id, WRONG_PRICE).seen
    assert correct_invoice(act, first.id, WRONG_PRICE, seen=seen).number == 3


def test_a_price_typed_with_tax_is_corrected_with_tax(session: Session, now: datetime, act: Act) -> None:
    set_tax(session, "vat", "VAT", 20000, ["labour", "materials"], date(2026, 1, 1), now)
    first = quick_job(act, who="Ruth", what="Bumper", price_minor=12000, means="card")
    corrected = correct_invoice(act, first.id, Right("Agreed 90", amounts={0: 9000}))
    assert (corrected.net_minor, corrected.tax_minor) == (7500, 1500)
    assert session.get_one(Job, corrected.job_id).settled_at is not None
    prove(session)


def test_what_was_credited_before_stays_credited(session: Session, now: datetime, act: Act) -> None:
    first = door_invoice(session, act, now)
    credit_invoice(act, first.id, reason="goodwill", amount_minor=1000)
    corrected = correct_invoice(act, first.id, Right("Address", to_lines=["1 Mill Yard"]))
    assert corrected.gross_minor == 26531
    assert owed(session, first) == [0]
    with pytest.raises(RuleBroken, match="already credited in full"):
        correct_invoice(act, first.id, WRONG_PRICE)
    with pytest.raises(Conflict, match="bills everything approved"):
        issue_invoice(act, first.job_id)
    prove(session)


def test_only_a_standing_invoice_with_a_reason_and_prices_that_can_be_is_corrected(
    session: Session, now: datetime, act: Act
) -> None:
    first = uk_invoice(session, act, now)
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    for paper, right, sentence in (
        (deposit, WRONG_PRICE, "Only an invoice"),
        (first, Right(" ", amounts={0: 76000}), "Enter a reason"),
        (first, Right("None", amounts={0: 0}), "nothing is left to pay"),
        (first, Right("Name", to=" "), "Enter the name"),
    ):
        with pytest.raises(RuleBroken, match=sentence):
            plan_correction(session, now, act.day, paper.id, right)


def test_an_invoice_of_a_closed_month_is_corrected_today(
    session: Session, now: datetime, act: Act, owner: Actor
) -> None:
    first = door_invoice(session, act, now)
    session.add(MonthClose(month="2026-11", through_on=date(2026, 11, 30), figures={}, at=now))
    later = Act(session, owner, now + timedelta(days=30))
    corrected = correct_invoice(later, first.id, WRONG_PRICE)
    assert (corrected.issued_on, corrected.supply_on) == (date(2026, 12, 5), date(2026, 12, 5))
    assert ["Work finished", "Thursday, November 5, 2026"] in corrected.frozen["facts"]

"""A payment is taken back: returned cheque, chargeback, entered wrong, entered for another job; its receipt stays."""

from datetime import date, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, MonthClose, Payment, Receipt
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.owed import job_stands, list_owed
from shopbook.queries.money.payments import free_of
from shopbook.queries.money.receipts import find_receipt
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.returned_fees import charge_fee
from shopbook.services.money.reversals import Again, reverse_payment
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.settings import SettingName
from tests.asking import still_to_pay
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job, prove

TODAY = date(2026, 11, 5)


def owed(session: Session, job: Job) -> int:
    return still_to_pay(session, [job.id], TODAY)[job.id]


def paid_job(session: Session, now: datetime, act: Act, means: str = "cheque") -> tuple[Job, Payment]:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    return job, take_payment(act, job_id=job.id, amount_minor=82616, means=means)


def test_a_returned_cheque_opens_the_invoice_again_with_its_old_due_day_and_leaves_the_receipt(
    session: Session, now: datetime, act: Act
) -> None:
    job, payment = paid_job(session, now, act)
    invoice = session.scalars(select(Invoice)).one()
    due = [(row.due_on, row.owed_minor) for row in payer_standings(session, [invoice.id])[invoice.id]]
    hand_over(act, job.id)
    assert job.settled_at is not None
    said = find_receipt(session, payment)
    back = reverse_payment(act, payment.id, kind="returned_cheque", reason="not enough funds")
    assert (back.kind, back.amount_minor, back.number, back.means) == ("returned_cheque", -82616, 2, "cheque")
    assert (owed(session, job), free_of(session, payment.id), job.settled_at) == (82616, 0, None)
    assert [(line.due_on, line.owed_minor) for line in list_owed(session)] == [(due[0][0], 82616)]
    assert find_receipt(session, payment) == said
    prove(session)


def test_a_reversal_has_a_paper_that_names_what_it_takes_back(session: Session, now: datetime, act: Act) -> None:
    _, payment = paid_job(session, now, act, "card")
    back = reverse_payment(act, payment.id, kind="chargeback", reason="card was not hers")
    kept = find_receipt(session, back)
    assert kept is not None
    assert (kept["kind"], kept["last"]) == ("Reversal", ["Reversed", -82616])
    assert kept["rows"] == [["Chargeback: receipt 1 of November 5, 2026", -82616]]
    assert kept["notes"] == ["card was not hers"]


@pytest.mark.parametrize(
    ("means", "kind", "reason", "on", "sentence"),
    [
        ("card", "returned_cheque", "bounced", None, "does not happen"),
        ("cash", "chargeback", "bounced", None, "does not happen"),
        ("cheque", "returned_cheque", "  ", None, "what happened"),
        ("cheque", "returned_cheque", "bounced", date(2026, 11, 6), "after today"),
        ("cheque", "returned_cheque", "bounced", date(2026, 11, 4), "before the day it was made"),
        ("card", "other_job", "wrong car", None, "number of the job"),
        ("card", "gone", "no", None, "Choose another reason"),
    ],
)
def test_a_reversal_that_cannot_be_is_refused(
    session: Session, now: datetime, act: Act, means: str, kind: str, reason: str, on: date | None, sentence: str
) -> None:
    _, payment = paid_job(session, now, act, means)
    with pytest.raises(RuleBroken, match=sentence):
        reverse_payment(act, payment.id, kind=kind, reason=reason, on=on)


def test_a_payment_is_reversed_once_and_never_a_refund(session: Session, now: datetime, act: Act) -> None:
    _, payment = paid_job(session, now, act)
    back = reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced")
    with pytest.raises(RuleBroken, match="Nothing of this payment is left"):
        reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced")
    with pytest.raises(RuleBroken, match="came in"):
        reverse_payment(act, back.id, kind="typed_wrong", reason="bounced")


def test_of_a_payment_refunded_in_part_only_the_rest_is_reversed(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=90000, means="cheque")
    refund(act, payment.id, amount_minor=7000, means="cash", reason="too much")
    back = reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced")
    assert (back.amount_minor, free_of(session, payment.id), owed(session, job)) == (-83000, 0, 82616)
    prove(session)


def test_a_reversal_is_never_dated_into_a_closed_month(session: Session, now: datetime, act: Act) -> None:
    _, payment = paid_job(session, now, act)
    session.add(MonthClose(month="2026-11", through_on=TODAY, at=now))
    session.flush()
    with pytest.raises(RuleBroken, match="closed up to"):
        reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced")


@pytest.mark.parametrize("paid", [82615, 82620])
def test_what_was_rounded_with_coins_is_taken_back_too(session: Session, now: datetime, act: Act, paid: int) -> None:
    set_settings(act, {SettingName.CASH_ROUNDING_MINOR: 5}, TODAY)
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=paid, means="cash")
    back = reverse_payment(act, payment.id, kind="typed_wrong", reason="it was another customer")
    assert (back.amount_minor, free_of(session, payment.id), owed(session, job)) == (-paid, 0, 82616)
    assert sum(session.scalars(select(Payment.amount_minor))) == 0
    prove(session)


def test_a_rounding_of_too_much_is_taken_back_by_its_payment(session: Session, now: datetime, act: Act) -> None:
    """Of 826.18 coins of 0.05 take 826.20: the two that are over were rounded off the payment itself."""
    set_settings(act, {SettingName.CASH_ROUNDING_MINOR: 5}, TODAY)
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=8, means="card")
    payment = take_payment(act, job_id=job.id, amount_minor=82610, means="cash")
    assert sorted(session.scalars(select(Payment.amount_minor))) == [-2, 8, 82610]
    reverse_payment(act, payment.id, kind="typed_wrong", reason="not paid yet")
    assert owed(session, job) == 82608
    assert sum(session.scalars(select(Payment.amount_minor))) == 8
    prove(session)


def test_a_payment_entered_wrong_is_entered_anew_in_the_same_act(session: Session, now: datetime, act: Act) -> None:
    job, payment = paid_job(session, now, act, "card")
    again = Again(job.number, "cash", date(2026, 11, 4), 80000, "slip 12")
    reverse_payment(act, payment.id, kind="typed_wrong", reason="800 in cash", again=again)
    right = session.scalars(select(Payment).order_by(Payment.id.desc())).first()
    assert right is not None
    assert (right.kind, right.amount_minor, right.means, right.on) == ("payment", 80000, "cash", date(2026, 11, 4))
    assert (right.reference, right.customer_id, owed(session, job)) == ("slip 12", job.customer_id, 2616)
    assert [row.payment_id for row in session.scalars(select(Receipt).order_by(Receipt.id))] == [1, 2, 3]
    prove(session)


def test_a_payment_of_another_job_pays_that_one_and_opens_the_first(session: Session, now: datetime, act: Act) -> None:
    job, payment = paid_job(session, now, act, "transfer")
    other = make_agreed_job(session, now, customer=make_customer(session, "Noor Bell"))
    issue_invoice(act, other.id)
    again = Again(other.number, "transfer", payment.on)
    reverse_payment(act, payment.id, kind="other_job", reason="Bell paid, not Okafor", again=again)
    assert [owed(session, each) for each in (job, other)] == [82616, 0]
    assert session.scalars(select(Payment.customer_id).order_by(Payment.id.desc())).first() == other.customer_id
    prove(session)


def test_a_job_that_does_not_exist_is_a_sentence_and_nothing_is_reversed(
    session: Session, now: datetime, act: Act
) -> None:
    _, payment = paid_job(session, now, act, "card")
    with pytest.raises(RuleBroken, match="No job has that number") as refusal:
        reverse_payment(act, payment.id, kind="other_job", reason="x", again=Again(999, "card", TODAY))
    assert refusal.value.field == "job"
    assert session.scalars(select(Payment)).all() == [payment]


def test_a_new_payment_is_not_entered_with_a_returned_cheque(session: Session, now: datetime, act: Act) -> None:
    job, payment = paid_job(session, now, act)
    again = Again(job.number, "cash", TODAY)
    with pytest.raises(RuleBroken, match="when it comes"):
        reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced", again=again)


def test_a_held_deposit_entered_wrong_is_a_held_deposit_again(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="card", treatment="held")
    reverse_payment(act, deposit.id, kind="typed_wrong", reason="250", again=Again(job.number, "card", TODAY, 25000))
    assert owed(session, job) == 57616
    kinds = session.scalars(select(Payment.kind).order_by(Payment.id)).all()
    assert kinds == ["held", "typed_wrong", "held"]
    prove(session)


def test_a_taxed_deposit_entered_wrong_has_its_invoice_credited(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="card", treatment="taxed")
    reverse_payment(act, deposit.id, kind="typed_wrong", reason="250", again=Again(job.number, "card", TODAY, 25000))
    papers = session.execute(select(Invoice.kind, Invoice.gross_minor).order_by(Invoice.id)).all()
    assert [tuple(row) for row in papers] == [("deposit", 20000), ("credit", -20000), ("deposit", 25000)]
    assert owed(session, job) == 57616
    prove(session)


def test_a_taxed_deposit_by_a_cheque_that_comes_back_is_owed_on_its_own_invoice_and_can_be_paid_again(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="cheque", treatment="taxed")
    reverse_payment(act, deposit.id, kind="returned_cheque", reason="bounced")
    assert [line.owed_minor for line in list_owed(session)] == [20000]
    assert owed(session, job) == 82616
    take_payment(act, job_id=job.id, amount_minor=20000, means="cash")
    assert list_owed(session) == []
    assert owed(session, job) == 62616
    prove(session)


def test_a_deposit_that_an_invoice_took_off_is_not_entered_anew_before_that_invoice_is_credited(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="cheque", treatment="taxed")
    issue_invoice(act, job.id)
    with pytest.raises(RuleBroken, match="Credit that invoice first"):
        reverse_payment(act, deposit.id, kind="typed_wrong", reason="250")
    reverse_payment(act, deposit.id, kind="returned_cheque", reason="bounced")
    assert owed(session, job) == 82616
    prove(session)


def test_a_fee_is_charged_only_where_the_owner_set_one_and_is_no_bill_of_the_work(
    session: Session, now: datetime, act: Act
) -> None:
    job, payment = paid_job(session, now, act)
    with pytest.raises(RuleBroken, match="Set the fee in Settings") as refusal:
        charge_fee(act, payment, job)
    assert refusal.value.field == "with_fee"
    set_settings(act, {SettingName.RETURNED_CHEQUE_FEE_MINOR: 2500}, TODAY)
    reverse_payment(act, payment.id, kind="returned_cheque", reason="bounced", with_fee=True)
    assert sorted(line.owed_minor for line in list_owed(session)) == [2500, 82616]
    assert owed(session, job) == 85116
    assert job_stands(session, [job.id], TODAY)[job.id].rest_minor == 0
    fee = session.scalars(select(Invoice).where(Invoice.kind == "fee")).one()
    assert (fee.number, fee.gross_minor, fee.tax_minor) == (2, 2500, 0)
    take_payment(act, job_id=job.id, amount_minor=85116, means="cash")
    hand_over(act, job.id)
    assert job.settled_at is not None
    credit_invoice(act, fee.id, reason="goodwill")
    assert free_of(session, 3) == 2500
    prove(session)


def test_a_fee_before_the_invoice_is_owed_beside_the_work(session: Session, now: datetime, act: Act) -> None:
    set_settings(act, {SettingName.RETURNED_CHEQUE_FEE_MINOR: 2500}, TODAY)
    job = make_agreed_job(session, now)
    deposit = take_deposit(act, job.id, amount_minor=20000, means="cheque", treatment="held")
    reverse_payment(act, deposit.id, kind="returned_cheque", reason="bounced", with_fee=True)
    assert owed(session, job) == 85116
    take_payment(act, job_id=job.id, amount_minor=2500, means="cash")
    assert owed(session, job) == 82616
    issue_invoice(act, job.id)
    assert owed(session, job) == 82616
    prove(session)

"""Payments: part, over, chosen, rounded, given back, moved, written off; the keys go back when all is paid."""

from datetime import date, datetime

import pytest
from sqlalchemy import event, func, select
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import MonthClose, Payment
from shopbook.queries.money.invoices import payer_standings
from shopbook.queries.money.owed import job_stands, list_on_account, list_owed
from shopbook.queries.money.payments import free_of
from shopbook.services.act import Act
from shopbook.services.money.allocations import move_allocation
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.quick import quick_job
from shopbook.services.money.write_offs import write_off
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import NotAllowed, RuleBroken
from shopbook.trade.permissions import Role
from shopbook.trade.settings import SettingName
from tests.asking import list_to_invoice, still_to_pay
from tests.makers import make_customer, make_person
from tests.makers.billing import add_quote, make_agreed_job, make_job, name_payer, prove, say_pays

TODAY = date(2026, 11, 5)


def owed(session: Session, job: Job) -> int:
    return still_to_pay(session, [job.id], TODAY)[job.id]


def test_a_part_payment_leaves_the_rest_and_an_over_payment_stays_on_account(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=50000, means="card")
    assert owed(session, job) == 32616
    second = take_payment(act, job_id=job.id, amount_minor=40000, means="transfer")
    assert owed(session, job) == 0
    assert free_of(session, second.id) == 7384
    assert [row.free_minor for row in list_on_account(session)] == [7384]
    prove(session)


def test_still_to_pay_before_the_invoice_is_what_was_agreed_less_deposits(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    assert owed(session, job) == 82616
    take_deposit(act, job.id, amount_minor=10000, means="card")
    take_deposit(act, job.id, amount_minor=5000, means="card", treatment="security")
    assert owed(session, job) == 72616


def test_a_payment_before_the_invoice_is_refused_as_one(session: Session, now: datetime, act: Act) -> None:
    with pytest.raises(RuleBroken, match="as a deposit"):
        take_payment(act, job_id=make_agreed_job(session, now).id, amount_minor=1, means="card")


@pytest.mark.parametrize(
    ("on", "amount", "sentence"),
    [
        (date(2026, 11, 6), 100, "after today"),
        (date(2026, 10, 1), 100, "before the job was opened"),
        (None, 0, "above zero"),
        (None, -5, "above zero"),
        (None, 10**14, "too large"),
    ],
)
def test_a_payment_that_cannot_be_is_refused(
    session: Session, now: datetime, act: Act, on: date | None, amount: int, sentence: str
) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    with pytest.raises(RuleBroken, match=sentence):
        take_payment(act, job_id=job.id, amount_minor=amount, means="card", on=on)


def test_a_payment_into_a_closed_month_is_refused(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    session.add(MonthClose(month="2026-11", through_on=date(2026, 11, 3), at=now))
    session.flush()
    with pytest.raises(RuleBroken, match="closed up to"):
        take_payment(act, job_id=job.id, amount_minor=1, means="card", on=date(2026, 11, 3))


@pytest.mark.parametrize("paid", [82615, 82620])
def test_cash_out_by_less_than_the_smallest_coin_closes_the_invoice(
    session: Session, now: datetime, act: Act, paid: int
) -> None:
    """CLDR 48 gives CHF and CAD a cash rounding of 5; 826.16 is paid with 826.15. Other sums stay as they are."""
    set_settings(act, {SettingName.CASH_ROUNDING_MINOR: 5}, TODAY)
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=paid, means="cash")
    roundings = session.scalars(select(Payment.amount_minor).where(Payment.kind == "rounding")).all()
    assert owed(session, job) == 0
    assert roundings == ([1] if paid == 82615 else [])
    assert free_of(session, payment.id) == (0 if paid == 82615 else 4)
    prove(session)


def test_money_on_account_is_given_back_and_no_more(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    payment = take_payment(act, job_id=job.id, amount_minor=90000, means="card")
    with pytest.raises(RuleBroken, match="more than this payment’s unused credit"):
        refund(act, payment.id, amount_minor=7385, means="card", reason="paid too much")
    with pytest.raises(RuleBroken, match="Enter a reason"):
        refund(act, payment.id, amount_minor=1, means="card", reason=" ")
    back = refund(act, payment.id, amount_minor=7384, means="card", reason="paid too much")
    assert (back.amount_minor, back.number, free_of(session, payment.id)) == (-7384, 2, 0)
    prove(session)


def test_money_moves_between_invoices(session: Session, now: datetime, act: Act) -> None:
    person = make_customer(session)
    jobs = [make_agreed_job(session, now, customer=person) for _ in range(2)]
    one, two = (issue_invoice(act, job.id) for job in jobs)
    payment = take_payment(act, job_id=jobs[0].id, amount_minor=82616, means="card")
    move_allocation(act, payment.id, from_invoice_id=one.id, to_invoice_id=two.id, amount_minor=20000)
    assert [owed(session, job) for job in jobs] == [20000, 62616]
    with pytest.raises(RuleBroken, match="paid of that invoice"):
        move_allocation(act, payment.id, from_invoice_id=two.id, to_invoice_id=None, amount_minor=20001)
    prove(session)


def test_what_is_given_up_is_a_difference_of_payment_without_a_receipt(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    invoice = issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=80000, means="card")
    gone = write_off(act, invoice.id, customer_id=job.customer_id, reason="moved abroad")
    assert (gone.series, gone.amount_minor, owed(session, job)) == ("difference", 2616, 0)
    prove(session)


def test_the_keys_stay_until_all_that_is_due_is_paid(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    with pytest.raises(RuleBroken, match="Write the invoice first"):
        hand_over(act, job.id)
    issue_invoice(act, job.id)
    with pytest.raises(RuleBroken, match=r"Still to pay: \$826\.16"):
        hand_over(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=82616, means="card")
    hand_over(act, job.id)
    assert job.handed_over_at is not None
    assert job.settled_at is not None


def test_an_insurer_who_pays_later_does_not_hold_the_car_but_the_job_is_not_settled(
    session: Session, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    insurer = make_customer(session, "Meadow Insurance", "", kind="insurer", pays_within_days=30)
    name_payer(session, job, session.get_one(Customer, job.customer_id or 0), "excess", 25000)
    name_payer(session, job, insurer, "rest")
    say_pays(session, job, insurer, 53504, now)
    say_pays(session, job, insurer, 4112, now, "extra")
    invoice = issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=25000, means="card")
    hand_over(act, job.id)
    assert job.settled_at is None
    assert [(line.payer, line.owed_minor, line.due_on) for line in list_owed(session)] == [
        ("Meadow Insurance", 57616, date(2026, 12, 5))
    ]
    take_payment(act, job_id=job.id, customer_id=insurer.id, amount_minor=57616, means="transfer")
    assert job.settled_at is not None
    credit_invoice(act, invoice.id, reason="goodwill", amount_minor=100)
    assert min(row.owed_minor for row in payer_standings(session, [invoice.id])[invoice.id]) == 0
    prove(session)


def test_letting_a_car_go_wants_a_reason_and_somebody_who_may(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    with pytest.raises(NotAllowed):
        let_go(Act(session, make_person(session, "Dana", Role.TECHNICIAN), now), job.id, "he is my uncle")
    with pytest.raises(RuleBroken, match="Enter a reason"):
        let_go(act, job.id, "")
    let_go(act, job.id, "pays on Monday")
    assert job.let_go_at == now
    assert job.settled_at is None
    assert job_stands(session, [job.id], TODAY)[job.id].owed_minor == 82616


def test_a_quick_job_is_one_act_with_a_numbered_paper_and_a_receipt(session: Session, act: Act) -> None:
    invoice = quick_job(act, who="Arjun", what="polish a door", price_minor=6000, means="cash")
    job = session.get_one(Job, invoice.job_id)
    assert (invoice.number, invoice.gross_minor, invoice.tax_minor) == (1, 6000, 0)
    assert job.settled_at is not None
    assert session.scalar(select(func.count()).select_from(Payment)) == 1
    prove(session)


def test_a_quick_job_with_tax_comes_to_its_price(act: Act) -> None:
    invoice = quick_job(act, who="555-0199", what="a mirror cap", price_minor=5400, means="card", kind="part")
    assert (invoice.net_minor, invoice.tax_minor) == (5000, 400)


def test_a_ready_job_waits_to_be_invoiced_until_it_is(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    job.ready_at = now
    session.flush()
    assert [row.id for row in list_to_invoice(session, now.date())] == [job.id]
    invoice = issue_invoice(act, job.id)
    assert list_to_invoice(session, now.date()) == []
    credit_invoice(act, invoice.id, reason="wrong")
    assert [row.id for row in list_to_invoice(session, now.date())] == [job.id]


def test_the_number_of_statements_does_not_grow_with_the_jobs(session: Session, now: datetime, act: Act) -> None:
    jobs = [make_agreed_job(session, now) for _ in range(6)]
    for job in jobs[:3]:
        issue_invoice(act, job.id)
    session.flush()
    counts = []
    for ids in ([jobs[0].id], [job.id for job in jobs]):
        seen: list[str] = []
        listen = lambda *args, seen=seen: seen.append(args[2])  # noqa: E731
        event.listen(session.get_bind(), "before_cursor_execute", listen)
        still_to_pay(session, ids, TODAY)
        event.remove(session.get_bind(), "before_cursor_execute", listen)
        counts.append(len(seen))
    assert counts[0] == counts[1] > 0


def test_a_price_over_what_is_meant_is_refused(session: Session, now: datetime, act: Act) -> None:
    with pytest.raises(RuleBroken, match="above zero"):
        quick_job(act, who="A", what="b", price_minor=10**15, means="cash")
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "All", [("labour", "All", 100)])])
    assert owed(session, job) == 100

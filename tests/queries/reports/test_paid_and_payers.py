"""Money of a span by means against the payments ledger, and the payers of a month."""

from datetime import date, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Payment
from shopbook.queries.reports.paid import get_paid
from shopbook.queries.reports.payers import list_payers
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.reversals import reverse_payment
from shopbook.trade.permissions import Actor
from shopbook.trade.results.paid import MoneyLine, PaidRow, sum_paid
from shopbook.trade.results.payers import PayerMonth, PayerOrder, days_to_pay, sort_payers
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at

FIRST, LAST = date(2026, 11, 1), date(2026, 11, 30)


def on(owner: Actor, session: Session, day: date, clock: str = "12:00") -> Act:
    return Act(session, owner, at(clock, day))


def billed(session: Session, owner: Actor, day: date) -> Job:
    """826.16, of a customer of its own."""
    job = make_agreed_job(session, at("9:00", day), customer=make_customer(session, name=f"Payer of {day.day}"))
    issue_invoice(on(owner, session, day), job.id)
    return job


def test_refunds_come_off_by_means_and_money_that_only_moved_is_neither() -> None:
    """Cash 500.00, card 960.00 less 48.00: 500.00 and 912.00, 1,412.00 in all; 100.00 held moved by cash is nothing."""
    paid = sum_paid(
        [
            MoneyLine("card", "payment", 96000, 0),
            MoneyLine("card", "refund", 0, -4800),
            MoneyLine("cash", "held", 20000, 0),
            MoneyLine("cash", "moved", 0, -10000),
            MoneyLine("cash", "payment", 40000, 0),
        ]
    )
    assert paid.rows == (PaidRow("card", 96000, -4800), PaidRow("cash", 50000, 0))
    assert (paid.total.total_minor, sum(amount for _, amount in paid.by_kind)) == (141200, 141200)


def test_what_was_paid_by_means_is_the_payments_ledger_of_the_span(session: Session, owner: Actor) -> None:
    """Card 900.00 less 73.84 refunded, a cheque of 826.16 returned in the span; October and December stay away."""
    first, second, third = (billed(session, owner, date(2026, 11, day)) for day in (3, 4, 5))
    card = take_payment(on(owner, session, date(2026, 11, 6)), job_id=first.id, amount_minor=90000, means="card")
    refund(on(owner, session, date(2026, 11, 7)), card.id, amount_minor=7384, means="cash", reason="too much")
    cheque = take_payment(on(owner, session, date(2026, 11, 6)), job_id=second.id, amount_minor=82616, means="cheque")
    reverse_payment(on(owner, session, date(2026, 11, 9)), cheque.id, kind="returned_cheque", reason="no funds")
    take_payment(on(owner, session, date(2026, 12, 2)), job_id=third.id, amount_minor=82616, means="card")
    paid = get_paid(session, FIRST, LAST)
    assert paid.rows == (PaidRow("card", 90000, 0), PaidRow("cash", 0, -7384), PaidRow("cheque", 82616, -82616))
    ledger = select(func.sum(Payment.amount_minor)).where(Payment.on.between(FIRST, LAST))
    assert paid.total.total_minor == session.scalar(ledger.where(Payment.series == "receipt")) == 82616


def test_days_to_pay_are_weighed_by_amount() -> None:
    """600.00 after 10 days and 300.00 after 40: 20 days; a deposit before the invoice is 0 days."""
    assert days_to_pay([(10, 60000), (40, 30000)]) == 20
    assert days_to_pay([(-5, 10000)]) == 0
    assert days_to_pay([]) is None


def test_the_payers_of_a_month_show_what_was_invoiced_paid_overdue_and_how_long_it_took(
    session: Session, owner: Actor
) -> None:
    """Invoiced Nov 3, paid 826.16 on Nov 13; invoiced Nov 5, 300.00 paid on Nov 25, 526.16 overdue on Nov 30."""
    quick, slow = billed(session, owner, date(2026, 11, 3)), billed(session, owner, date(2026, 11, 5))
    take_payment(on(owner, session, date(2026, 11, 13)), job_id=quick.id, amount_minor=82616, means="card")
    take_payment(on(owner, session, date(2026, 11, 25)), job_id=slow.id, amount_minor=30000, means="card")
    rows = [row for row in list_payers(session, FIRST, LAST)]
    assert rows == [
        PayerMonth(quick.customer_id, "Payer of 3", 82616, 82616, 0, 10),
        PayerMonth(slow.customer_id, "Payer of 5", 82616, 30000, 52616, 20),
    ]
    december = list_payers(session, LAST + timedelta(days=1), date(2026, 12, 31))
    assert december == [PayerMonth(slow.customer_id, "Payer of 5", 0, 0, 52616, None)]


def test_payers_are_sorted_by_any_figure_the_highest_first_and_then_by_name() -> None:
    rows = [
        PayerMonth(1, "Cole", 300, 0, 5, None),
        PayerMonth(2, "amber", 300, 9, 0, 4),
        PayerMonth(3, "Bell", 100, 9, 7, 40),
    ]
    orders = {order: [row.customer_id for row in sort_payers(rows, order)] for order in PayerOrder}
    assert orders == {
        PayerOrder.NAME: [2, 3, 1],
        PayerOrder.INVOICED: [2, 1, 3],
        PayerOrder.PAID: [2, 3, 1],
        PayerOrder.OVERDUE: [3, 1, 2],
        PayerOrder.DAYS: [3, 2, 1],
    }

"""What was owed and held at the end of a past day, from the ledgers alone: the same figure whatever came later."""

from collections.abc import Callable
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.money.owed import list_on_account, list_owed, owed_as_of
from shopbook.services.act import Act
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import refund, take_payment
from shopbook.services.money.rests import move_rest
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.money.write_offs import write_off
from shopbook.trade.billing.ageing import AgeBand
from shopbook.trade.permissions import Actor
from tests.makers import make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at

LAST = date(2026, 11, 30)
DEC = date(2026, 12, 4)
LATER = date(2027, 1, 20)


def nov(day: int) -> date:
    return date(2026, 11, day)


def on(owner: Actor, session: Session, day: date, clock: str = "12:00") -> Act:
    return Act(session, owner, at(clock, day))


def billed(session: Session, owner: Actor, day: date) -> tuple[Job, Invoice]:
    """826.16, due on its day."""
    job = make_agreed_job(session, at("9:00", day))
    return job, issue_invoice(on(owner, session, day), job.id)


def figures(session: Session, day: date = LAST) -> tuple[int, int, int]:
    """(owed, overdue, on account)."""
    found = owed_as_of(session, day)
    return found.owed_minor, found.overdue_minor, found.on_account_minor


def unmoved_by(session: Session, *acts: Callable[[], object]) -> None:
    """None of what is done later changes what was owed on the last day."""
    before = figures(session), list_owed(session, LAST), list_on_account(session, LAST)
    for act in acts:
        act()
        session.flush()
        assert (figures(session), list_owed(session, LAST), list_on_account(session, LAST)) == before


def test_a_later_payment_and_hand_over_change_nothing_of_a_past_day(session: Session, owner: Actor) -> None:
    """826.16 due Nov 20: on Nov 30 overdue 10 days, whatever is paid in December."""
    job, _ = billed(session, owner, nov(20))
    assert figures(session) == (82616, 82616, 0)
    assert owed_as_of(session, LAST).by_band[AgeBand.TO_30] == 82616
    unmoved_by(
        session,
        lambda: take_payment(on(owner, session, DEC), job_id=job.id, amount_minor=90000, means="card"),
        lambda: hand_over(on(owner, session, DEC, "13:00"), job.id),
        lambda: refund(
            on(owner, session, LATER),
            list_on_account(session, DEC)[0].payment_id,
            amount_minor=7384,
            means="card",
            reason="too much",
        ),
    )
    assert job.settled_at is not None
    assert list_owed(session) == []
    assert figures(session, DEC) == (0, 0, 7384)
    assert figures(session, LATER) == (0, 0, 0)


def test_a_payment_of_november_that_is_entered_in_december_is_not_owed_on_november_30(
    session: Session, owner: Actor
) -> None:
    job, _ = billed(session, owner, nov(20))
    take_payment(on(owner, session, DEC), job_id=job.id, amount_minor=82616, means="transfer", on=nov(29))
    assert (figures(session, nov(28))[0], figures(session)[0]) == (82616, 0)


def test_a_credit_and_a_write_off_of_december_are_owed_still_in_november(session: Session, owner: Actor) -> None:
    _, invoice = billed(session, owner, nov(20))
    unmoved_by(
        session,
        lambda: credit_invoice(on(owner, session, DEC), invoice.id, reason="scratch", amount_minor=2616),
        lambda: write_off(on(owner, session, DEC, "14:00"), invoice.id, customer_id=invoice.customer_id, reason="gone"),
    )
    assert figures(session, DEC) == (0, 0, 0)


def test_a_cheque_returned_in_december_was_paid_in_november(session: Session, owner: Actor) -> None:
    job, _ = billed(session, owner, nov(20))
    payment = take_payment(on(owner, session, nov(21)), job_id=job.id, amount_minor=82616, means="cheque")
    hand_over(on(owner, session, nov(21), "14:00"), job.id)
    unmoved_by(
        session,
        lambda: reverse_payment(on(owner, session, DEC), payment.id, kind="returned_cheque", reason="no funds"),
    )
    assert (figures(session)[0], figures(session, DEC)[0]) == (0, 82616)


def test_a_deposit_held_in_november_is_held_then_though_december_uses_it(session: Session, owner: Actor) -> None:
    job = make_agreed_job(session, at("9:00", nov(20)))
    take_deposit(on(owner, session, nov(20)), job.id, amount_minor=30000, means="card", treatment="held")
    assert figures(session) == (0, 0, 30000)
    unmoved_by(session, lambda: issue_invoice(on(owner, session, DEC), job.id))
    assert figures(session, DEC) == (52616, 0, 0)


def test_a_rest_that_moves_to_another_payer_in_december_was_the_first_ones_in_november(
    session: Session, owner: Actor
) -> None:
    _, invoice = billed(session, owner, nov(20))
    other = make_customer(session, name="Paul Reed")
    unmoved_by(
        session,
        lambda: move_rest(
            on(owner, session, DEC),
            invoice.id,
            from_id=invoice.customer_id,
            to_id=other.id,
            amount_minor=82616,
            reason="he pays",
            approval=ApprovalSaid("Paul Reed", "phone"),
        ),
    )
    assert {line.payer for line in list_owed(session, DEC)} == {"Paul Reed"}


def test_today_and_as_of_today_are_one_figure(session: Session, owner: Actor, now: datetime) -> None:
    billed(session, owner, nov(3))
    job, _ = billed(session, owner, nov(4))
    take_payment(on(owner, session, nov(4), "14:00"), job_id=job.id, amount_minor=50000, means="card")
    assert list_owed(session) == list_owed(session, nov(5))
    assert [line.owed_minor for line in list_owed(session)] == [82616, 32616]

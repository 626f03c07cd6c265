"""A right price below the deposit: the deposit is credited down to it; what is over goes back or stays as credit."""

from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, Payment
from shopbook.queries.money.invoices import get_invoice
from shopbook.queries.money.owed import job_stands
from shopbook.queries.money.payments import free_of
from shopbook.services.act import Act
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.correction_plans import plan_correction
from shopbook.services.money.corrections import AS_CREDIT, AS_PAID, correct_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from tests.makers.billing import add_quote, make_job, prove
from tests.services.money.test_corrections import DOOR, TODAY, owed, uk_invoice

LESS = Right("A discount was forgotten", amounts={0: 10000})


@pytest.mark.parametrize(("over", "back"), [(AS_PAID, [-12000]), ("cash", [-12000]), (AS_CREDIT, [])])
def test_the_deposit_stands_at_the_price_and_the_rest_of_it_is_over(
    session: Session, now: datetime, act: Act, over: str, back: list[int]
) -> None:
    """800.00 + 160.00 less 200.00 + 40.00, right price 100.00 + 20.00: 120.00 of the deposit is over."""
    first = uk_invoice(session, act, now)
    plan = plan_correction(session, now, TODAY, first.id, LESS)
    assert (plan.gross_minor, plan.over_minor, plan.open_minor, len(plan.cuts)) == (0, 12000, 0, 1)
    corrected = correct_invoice(act, first.id, LESS, seen=plan.seen, over=over)
    papers = session.scalars(select(Invoice).order_by(Invoice.id)).all()
    assert [(paper.kind, paper.number, paper.net_minor, paper.tax_minor) for paper in papers] == [
        ("deposit", 1, 20000, 4000),
        ("invoice", 2, 60000, 12000),
        ("credit", 1, -60000, -12000),
        ("credit", 2, -10000, -2000),
        ("invoice", 3, 0, 0),
    ]
    assert papers[3].credits_id == papers[0].id
    assert [line.net_minor for line in get_invoice(session, corrected.id).lines] == [10000, -10000]
    lines = session.scalars(select(Payment).where(Payment.kind == "refund")).all()
    assert [row.amount_minor for row in lines] == back
    assert all(row.means == ("card" if over == AS_PAID else over) for row in lines)
    deposit = session.scalars(select(Payment).where(Payment.kind == "deposit")).one()
    assert free_of(session, deposit.id) == (0 if back else 12000)
    assert owed(session, corrected) == [0]
    assert sum(paper.tax_minor for paper in papers) == 2000
    assert job_stands(session, [first.job_id], TODAY)[first.job_id].owed_minor == 0
    prove(session)


def test_what_was_paid_beside_the_deposit_goes_back_too(session: Session, now: datetime, act: Act) -> None:
    first = uk_invoice(session, act, now)
    take_payment(act, job_id=first.job_id, amount_minor=72000, means="transfer")
    assert plan_correction(session, now, TODAY, first.id, LESS).over_minor == 84000
    correct_invoice(act, first.id, LESS)
    lines = session.scalars(select(Payment).where(Payment.kind == "refund").order_by(Payment.id)).all()
    assert sorted((row.amount_minor, row.means) for row in lines) == [(-72000, "transfer"), (-12000, "card")]
    prove(session)


def test_the_price_of_the_deposit_itself_credits_nothing_of_it(session: Session, now: datetime, act: Act) -> None:
    first = uk_invoice(session, act, now)
    plan = plan_correction(session, now, TODAY, first.id, Right("Less", amounts={0: 20000}))
    assert (plan.gross_minor, plan.over_minor, plan.cuts) == (0, 0, ())
    prove(session)


def test_what_comes_free_pays_what_another_kind_of_tax_leaves_open(session: Session, now: datetime, act: Act) -> None:
    """Work 209.00 less a deposit of 150.00 taxed with it, paint 61.40 + 4.91; right is 100.00 for the work.

    Of the deposit 50.00 come free and pay of the 66.31 for paint; 16.31 are still to pay.
    """
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR])
    take_deposit(act, job.id, amount_minor=15000, means="card", treatment="taxed")
    first = issue_invoice(act, job.id)
    right = Right("The work was priced wrong", amounts={0: 10000})
    plan = plan_correction(session, now, TODAY, first.id, right)
    assert (plan.gross_minor, plan.paid_minor, plan.over_minor, plan.open_minor) == (6631, 5000, 0, 1631)
    corrected = correct_invoice(act, first.id, right, seen=plan.seen)
    assert owed(session, corrected) == [1631]
    assert session.scalars(select(Payment.amount_minor)).all() == [15000]
    prove(session)
    take_payment(act, job_id=job.id, amount_minor=1631, means="cash")
    assert owed(session, corrected) == [0]
    prove(session)

"""A corrected invoice with several payers: money moves payer by payer, an insurer is asked past its approval."""

from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Payment
from shopbook.queries.money.invoices import payer_standings
from shopbook.services.act import Act
from shopbook.services.money.corrected_paper import Right
from shopbook.services.money.correction_plans import plan_correction
from shopbook.services.money.corrections import correct_invoice
from shopbook.services.money.invoice_approvals import ApprovalSaid
from shopbook.services.money.payments import take_payment
from shopbook.trade.permissions import Actor
from tests.makers.billing import prove
from tests.makers.insured import insured_invoice

TODAY = date(2026, 11, 5)


def test_what_was_paid_moves_payer_by_payer_and_only_the_insurer_gets_back(
    session: Session, now: datetime, act: Act
) -> None:
    first, insurer = insured_invoice(act)
    take_payment(act, job_id=first.job_id, amount_minor=50000, means="card")
    take_payment(act, job_id=first.job_id, amount_minor=131495, means="transfer", customer_id=insurer.id)
    corrected = correct_invoice(act, first.id, Right("Less", amounts={0: 180255}))
    rows = payer_standings(session, [corrected.id])[corrected.id]
    assert [(row.share_minor, row.owed_minor) for row in rows] == [(50000, 0), (130255, 0)]
    back = session.scalars(select(Payment).where(Payment.kind == "refund")).one()
    assert (back.customer_id, back.amount_minor, back.means) == (insurer.id, -1240, "transfer")
    prove(session)


def test_the_insurer_is_asked_for_what_passes_its_approval(session: Session, now: datetime, act: Act) -> None:
    first, insurer = insured_invoice(act)
    plan = plan_correction(session, now, act.day, first.id, Right("More", amounts={0: 191245}))
    assert [(row.payer.name, row.amount_minor) for row in plan.passed] == [("Meadow Insurance", 9750)]
    mail = ApprovalSaid("Claims desk", "mail", "as by letter")
    corrected = correct_invoice(act, first.id, Right("More", amounts={0: 191245}), approvals={insurer.id: mail})
    rows = payer_standings(session, [corrected.id])[corrected.id]
    assert [row.share_minor for row in rows] == [50000, 141245]
    assert corrected.frozen["payers"][1]["name"] == "Meadow Insurance, claim 77"
    prove(session)


def test_a_due_day_stays_unless_the_share_grew(session: Session, now: datetime, act: Act, owner: Actor) -> None:
    first, insurer = insured_invoice(act)
    later = Act(session, owner, now + timedelta(days=40))
    less = correct_invoice(later, first.id, Right("Less", amounts={0: 180255}))
    assert [row.due_on for row in payer_standings(session, [less.id])[less.id]] == [TODAY, date(2026, 12, 5)]
    more = correct_invoice(
        later, less.id, Right("More", amounts={0: 190255}), approvals={insurer.id: ApprovalSaid("Desk", "mail")}
    )
    assert [row.due_on for row in payer_standings(session, [more.id])[more.id]] == [TODAY, date(2027, 1, 14)]

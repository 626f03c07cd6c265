"""The keys go back: only when nothing is still to pay before them, or by one logged press of who may let a car go."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import agreed_work, bill_agreed, billing_day
from shopbook.queries.money.owed import JobStands, job_stands
from shopbook.queries.money.owing import PayerOwes
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.jobs.leaving import mark_handed_over
from shopbook.services.money.allocations import settle
from shopbook.services.postings import write_log
from shopbook.trade.errors import NotAllowed, RuleBroken
from shopbook.trade.purposes import is_paid_for


def hand_over(act: Act, job_id: int, taken_by: str = "") -> Job:
    """Hand the car over. RuleBroken while anything is to be paid before the keys, or agreed work is not invoiced.

    A share that is due on a later day does not hold the car. `taken_by` names who took it, if not the customer.
    """
    job = get_job_by_id(act.session, job_id)
    today = act.day
    stands = job_stands(act.session, [job.id], today)[job.id]
    agreed = bill_agreed(agreed_work(act.session, [job.id])[job.id], billing_day(act.session, today)).bill
    if is_paid_for(job.purpose) and agreed.gross_minor > 0 and not stands.is_invoiced:
        raise RuleBroken("Write the invoice first, or release the car unpaid with a reason.")
    if stands.rest_minor > 0:
        rest = get_wording(act.session).money(stands.rest_minor)
        raise RuleBroken(f"Approved but not invoiced yet: {rest}. Write the follow-up invoice first.")
    if stands.due_now_minor > 0:
        owed = _owing(act.session, [row for row in stands.owing if row.due_on <= today], stands)
        raise RuleBroken(f"Still to pay: {owed}. Take the payment, or release the car unpaid with a reason.")
    mark_handed_over(act, job, taken_by)
    settle(act.session, act.moment, job)
    return job


def let_go(act: Act, job_id: int, why: str, taken_by: str = "") -> Job:
    """Let the car go with money still to pay. NotAllowed for who may not; RuleBroken without a reason."""
    if not act.actor.may("money", "let_go"):
        raise NotAllowed("You don’t have access to this. Ask someone who may release a car unpaid.")
    if not why.strip():
        raise RuleBroken("Enter a reason.", "why")
    job = get_job_by_id(act.session, job_id)
    stands = job_stands(act.session, [job.id], act.day)[job.id]
    owed = _owing(act.session, stands.owing, stands)
    job.let_go_at = act.moment
    words = f"Released unpaid with {owed} still to pay: {why.strip()}"
    write_log(act, "let_go", "job", job.id, words[:1000], job_id=job.id)
    mark_handed_over(act, job, taken_by)
    settle(act.session, act.moment, job)
    return job


def _owing(session: Session, rows: Sequence[PayerOwes], stands: JobStands) -> str:
    """What is owed, where more than one pays each sum after its payer's name."""
    said = get_wording(session)
    if not stands.is_shared:
        return said.money(sum(row.owed_minor for row in rows))
    return ", ".join(f"{row.name} {said.money(row.owed_minor)}" for row in rows)

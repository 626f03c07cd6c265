"""How a payer's approval from before three figures were kept is read: a person chooses, once, and may choose anew."""

from sqlalchemy.orm import Session

from shopbook.models.money import Approval, ApprovalReading
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import agreed_quotes
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.whose import Reading, payers_who_agreed, readings_of
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.money.allocations import settle
from shopbook.services.postings import write_log
from shopbook.trade.errors import NotFound, RuleBroken


def read_approval_as(act: Act, approval_id: int, *, is_whole: bool) -> ApprovalReading:
    """Keep that an approval's amount stands for the whole repair, or for what the payer pays itself.

    NotFound for an approval that does not stand; RuleBroken for one that has its three figures.
    """
    approval = act.session.get(Approval, approval_id)
    if approval is None:
        raise NotFound("There is no such approval in the book.")
    job = get_job_by_id(act.session, approval.job_id)
    reading = _standing(act.session, approval)
    if approval.pays_minor is not None:
        raise RuleBroken("This approval says what the payer pays: there is nothing to choose.")
    pays = reading.as_whole_minor if is_whole else reading.as_share_minor
    row = ApprovalReading(
        approval_id=approval.id, pays_minor=pays, at=act.moment, on=act.day, person_id=act.actor.person_id
    )
    act.session.add(row)
    # The choice first: whether the job is settled is read from the approvals as they are read now.
    act.session.flush()
    words = f"Said that {reading.payer.name} pays {get_wording(act.session).money(pays)}"
    write_log(act, "read_approval", "job", job.id, words, job_id=job.id)
    settle(act.session, act.moment, job)
    return row


def _standing(session: Session, approval: Approval) -> Reading:
    job, quotes = get_job_by_id(session, approval.job_id), agreed_quotes(session, approval.job_id)
    payers = payers_who_agreed(session, payers_of(session, job), quotes)
    found = [row for row in readings_of(payers, quotes) if row.approval.id == approval.id]
    if not found:
        raise NotFound("That approval does not stand any more.")
    return found[0]

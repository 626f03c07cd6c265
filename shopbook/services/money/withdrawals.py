"""An approval is withdrawn: the newest one not withdrawn holds, and stages, quote and job follow it."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalWithdrawal, Quote
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import AgreedQuote, agreed_quotes, list_approvals
from shopbook.queries.money.issued import Issued, issued_of
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.money.whose import payers_who_agreed, readings_of
from shopbook.queries.money.withdrawals import get_approval
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.jobs.agreed import keep_agreed_only
from shopbook.services.money.allocations import settle
from shopbook.services.money.quotes import mark_quoted
from shopbook.services.postings import write_log
from shopbook.trade.agreeing.words import Party, QuoteKind
from shopbook.trade.errors import Conflict, RuleBroken


def withdraw_approval(act: Act, approval_id: int, *, reason: str) -> ApprovalWithdrawal:
    """Take one approval back, of the customer or of a payer; the newest of its party not withdrawn holds from now.

    Stages that nothing approves any more are open again; begun ones keep what was done and are flagged. A quote without
    any approval left waits for an answer again, and a job without one is not ready. NotFound for an approval that is
    none; Conflict when it was withdrawn before; RuleBroken without a reason, or while an invoice bills it.
    """
    found = get_approval(act.session, approval_id)
    approval = found.approval
    job = get_job_by_id(act.session, approval.job_id)
    if not reason.strip():
        raise RuleBroken("Say in a few words why the approval is withdrawn.", "reason")
    if found.withdrawal is not None:
        raise Conflict("This approval was withdrawn already.")
    _refuse_billed(act.session, job, approval)
    row = ApprovalWithdrawal(
        approval_id=approval.id,
        reason=reason.strip()[:200],
        at=act.moment,
        on=act.day,
        person_id=act.actor.person_id,
    )
    act.session.add(row)
    # The withdrawal first: what still holds is read back from the book.
    act.session.flush()
    quote = get_quote(act.session, approval.quote_id)
    _open_again(act.session, quote)
    if approval.party == Party.CUSTOMER:
        _fit_to_what_holds(act, job, quote)
    mark_quoted(act.session, job)
    settle(act.session, act.moment, job)
    write_log(act, "withdraw_approval", "quote", quote.id, _words(act.session, approval, quote, row), job_id=job.id)
    return row


def _refuse_billed(session: Session, job: Job, approval: Approval) -> None:
    """An invoice bills an approval that stands: one of its lines is on it and, of a payer, a share of its own too."""
    issued, quotes = issued_of(session, [job.id])[job.id], agreed_quotes(session, job.id)
    if not issued.papers or not _stands(session, job, approval, quotes):
        return
    rows = [row for row in quotes if row.quote.id == approval.quote_id]
    if any(_is_on(issued, row) for row in rows) and _has_share(approval, issued):
        raise RuleBroken(f"Invoice {issued.papers[-1].number} bills this approval. Credit the invoice first.")


def _is_on(issued: Issued, row: AgreedQuote) -> bool:
    """Whether a line of it is invoiced, or an invoice from before keys does not say what it bills."""
    keys = {line.key for line in issued.lines}
    return issued.lacks_keys or any(line.key in keys for line in row.sum.taken.lines)


def _has_share(approval: Approval, issued: Issued) -> bool:
    """Of a payer's approval: whether anything was billed to that payer."""
    is_payers = approval.party == Party.PAYER and approval.whose_id is not None
    return not is_payers or bool(issued.billed.get(approval.whose_id))


def _stands(session: Session, job: Job, approval: Approval, quotes: Sequence[AgreedQuote]) -> bool:
    if approval.party == Party.CUSTOMER:
        return any(row.approval.id == approval.id for row in quotes)
    payers = payers_who_agreed(session, payers_of(session, job), quotes)
    newest = {reading.approval.id for reading in readings_of(payers, quotes)}
    return approval.id in newest or not any(not payer.is_customer for payer in payers)


def _open_again(session: Session, quote: Quote) -> None:
    left = [approval for approval in list_approvals(session, quote.job_id) if approval.quote_id == quote.id]
    if not left:
        quote.answered_at = None


def _fit_to_what_holds(act: Act, job: Job, quote: Quote) -> None:
    quotes = agreed_quotes(act.session, job.id)
    taken = {group.key for row in quotes for group in row.taken}
    given = [approval.at for approval in list_approvals(act.session, job.id) if approval.party == Party.CUSTOMER]
    known = {group.key for group in quote.groups}
    left = {group.key for row in quotes for group in row.left} - taken
    keep_agreed_only(act, job, taken, left=left, open_keys=known - taken - left, since=min(given) if quotes else None)


def _words(session: Session, approval: Approval, quote: Quote, row: ApprovalWithdrawal) -> str:
    said = get_wording(session)
    whose = "customer’s" if approval.party == Party.CUSTOMER else "payer’s"
    what = "the extra" if quote.kind == QuoteKind.EXTRA else f"version {quote.version}"
    return f"Withdrew the {whose} approval of {what} from {said.day(approval.on)}: {row.reason}"

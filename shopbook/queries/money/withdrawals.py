"""Approvals that were taken back: whoever reads approvals leaves them out by this one condition."""

from dataclasses import dataclass

from sqlalchemy import ColumnElement, exists, select
from sqlalchemy.orm import Session

from shopbook.models.money import Approval, ApprovalWithdrawal, Quote
from shopbook.queries.money.quotes import get_quote
from shopbook.trade.errors import NotFound


def is_not_withdrawn() -> ColumnElement[bool]:
    """A condition on an approval: nobody took it back."""
    return ~exists().where(ApprovalWithdrawal.approval_id == Approval.id)


@dataclass(frozen=True, slots=True)
class WithdrawnApproval:
    """An approval and the line that took it back."""

    approval: Approval
    withdrawal: ApprovalWithdrawal


@dataclass(frozen=True, slots=True)
class AskedApproval:
    """One approval with its quote, and the line that took it back where one did."""

    approval: Approval
    quote: Quote
    withdrawal: ApprovalWithdrawal | None


def get_approval(session: Session, approval_id: int) -> AskedApproval:
    """One approval, withdrawn or not; NotFound when there is none."""
    approval = session.get(Approval, approval_id)
    if approval is None:
        raise NotFound("There is no such approval in the book.")
    asked = select(ApprovalWithdrawal).where(ApprovalWithdrawal.approval_id == approval.id)
    return AskedApproval(approval, get_quote(session, approval.quote_id), session.scalar(asked))

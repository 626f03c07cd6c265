"""What waits to be invoiced: work that was approved and done, and stands on no invoice."""

from typing import Any

from sqlalchemy import ScalarSelect, exists, func, select
from sqlalchemy.orm import aliased, joinedload

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalReading, Invoice, JobPayer, Quote
from shopbook.queries.money.accounts import read_accounts_for
from shopbook.queries.money.invoices import is_live_invoice
from shopbook.queries.money.owed import JobStands, stands_of
from shopbook.queries.money.withdrawals import is_not_withdrawn
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.purposes import JobPurpose


def waiting_to_invoice(shop: ShopOn) -> list[tuple[Job, JobStands]]:
    """Jobs that are ready or went with approved work on no invoice that stands, or held; the longest ready first.

    Each with how it stands. What is only `held` is on no invoice because its payer has not approved it.
    """
    asked = (
        select(Job)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.ready_at.is_not(None) | Job.handed_over_at.is_not(None),
            Job.agreed_at.is_not(None),
            Job.purpose == JobPurpose.PAID,
            exists().where(Quote.job_id == Job.id),
            ~Job.is_sample,
            Job.handed_over_at.is_not(None)
            | exists().where(JobPayer.job_id == Job.id)
            | ~exists().where(Invoice.job_id == Job.id, is_live_invoice())
            | exists().where(Approval.job_id == Job.id, Approval.at > _newest_issue(), is_not_withdrawn())
            | exists().where(
                Approval.job_id == Job.id,
                is_not_withdrawn(),
                ApprovalReading.approval_id == Approval.id,
                ApprovalReading.at > _newest_issue(),
            ),
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
        .order_by(func.coalesce(Job.ready_at, Job.handed_over_at), Job.id)
    )
    found = list(shop.session.scalars(asked))
    stands = stands_of(read_accounts_for(shop, found)) if found else {}
    return [(job, stands[job.id]) for job in found if _is_waiting(stands[job.id])]


def _is_waiting(stands: JobStands) -> bool:
    return stands.rest_minor > 0 or bool(stands.held) or not stands.is_invoiced


def _newest_issue() -> ScalarSelect[Any]:
    """When the newest invoice of the job was issued that stands, or in whose place a corrected one stands."""
    later = aliased(Invoice)
    is_begun = Invoice.corrects_id.is_(None) & (is_live_invoice() | exists().where(later.corrects_id == Invoice.id))
    asked = select(func.max(Invoice.issued_at)).where(Invoice.job_id == Job.id, Invoice.kind == "invoice", is_begun)
    return asked.correlate(Job).scalar_subquery()

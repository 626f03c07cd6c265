"""What a job's quote, approvals, photos and money are, told before its customer is changed."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, Invoice, Quote
from shopbook.queries.jobs.damage import list_pictures
from shopbook.queries.money.approvals import list_approvals
from shopbook.queries.money.invoices import list_job_invoices
from shopbook.queries.money.issued import standing
from shopbook.queries.money.payments import FreePayment, list_free
from shopbook.queries.money.quotes import find_current_quote
from shopbook.trade.agreeing.words import Party


@dataclass(frozen=True, slots=True)
class GoesAlong:
    """What goes along when a job gets another customer: `free` is money that is set against no paper."""

    quote: Quote | None
    photos: int
    approvals: Sequence[Approval]
    free: Sequence[FreePayment]
    deposit_papers: Sequence[Invoice]


def read_what_goes_along(session: Session, job: Job) -> GoesAlong:
    """What a job has by now, of the customer's own: a payer beside the customer keeps its approvals and its money."""
    papers = standing(list_job_invoices(session, job.id), "deposit")
    free = list_free(session, job_id=job.id, with_security=True)
    whose = job.customer.id if job.customer else None
    return GoesAlong(
        quote=find_current_quote(session, job.id),
        photos=len(list_pictures(session, job.id)),
        approvals=[approval for approval in list_approvals(session, job.id) if approval.party == Party.CUSTOMER],
        free=[row for row in free if row.payment.whose_id == whose],
        deposit_papers=[paper for paper in papers if {row.whose_id for row in paper.payers} == {whose}],
    )

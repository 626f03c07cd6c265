"""The jobs that were invoiced in a span, from planned to made, the worst first."""

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.money.waterfalls import waterfalls
from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.worst_jobs import InvoicedJob, worst_first


def list_worst_jobs(session: Session, first: date, last: date) -> list[InvoicedJob]:
    """Every paying job with an invoice (no deposit) from `first` to `last`, the furthest short of plan first.

    As of `last`: what was invoiced and spent by then. A fixed number of statements. Left out is a job whose planned
    work is not known (it was approved before there was a plan), and one of which credit notes left nothing billed.
    """
    asked = (
        select(Job.id, Job.number)
        .join(Invoice, Invoice.job_id == Job.id)
        .where(Invoice.kind == "invoice", Invoice.issued_on.between(first, last), Job.purpose == JobPurpose.PAID)
        .distinct()
    )
    numbers = {job_id: number for job_id, number in session.execute(asked)}
    found = waterfalls(session, numbers, last) if numbers else {}
    return worst_first(InvoicedJob(numbers[job_id], result) for job_id, result in found.items())

"""The jobs that were invoiced in a span, from planned to made, the worst first."""

from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy import select

from shopbook.models.jobs import Stage
from shopbook.queries.money.approvals import agreed_quotes_of
from shopbook.queries.money.costs import sum_by_job
from shopbook.queries.money.waterfalls import JobsCame, waterfalls
from shopbook.queries.reports.cars_read import CarsRead
from shopbook.trade.purposes import JobPurpose
from shopbook.trade.results.papers import has_invoice
from shopbook.trade.results.worst_jobs import InvoicedJob, worst_first


def list_billed_stages(read: CarsRead, first: date, last: date) -> dict[int, list[Stage]]:
    """The stages, removed ones among them, of every job with an invoice (no deposit) from `first` to `last`, days of
    what is `read`, by job id; one statement."""
    ids = [job.id for job in read.jobs if has_invoice(read.papers.get(job.id, ()), first, last)]
    found: dict[int, list[Stage]] = {job_id: [] for job_id in ids}
    for stage in read.shop.session.scalars(select(Stage).where(Stage.job_id.in_(ids)).order_by(Stage.id)):
        found[stage.job_id].append(stage)
    return found


def list_worst_jobs(
    read: CarsRead, first: date, last: date, stages: Mapping[int, Sequence[Stage]]
) -> list[InvoicedJob]:
    """Every paying job with an invoice (no deposit) from `first` to `last`, the furthest short of plan first; `stages`
    are the `list_billed_stages` of these days.

    As of `last`: what was invoiced and spent by then. A fixed number of statements. Left out is a job whose planned
    work is not known (it was approved before there was a plan), and one of which credit notes left nothing billed.
    """
    numbers = {job.id: job.number for job in read.jobs if job.id in stages and job.purpose == JobPurpose.PAID}
    if not numbers:
        return []
    came = JobsCame(
        stages,
        [row for row in read.clocked if row.on <= last],
        sum_by_job(read.costs_of(date.min, last)),
        agreed_quotes_of(read.shop.session, sorted(numbers)),
        read.papers,
    )
    found = waterfalls(read.shop.session, came, last)
    return worst_first(InvoicedJob(numbers[job_id], result) for job_id, result in found.items())

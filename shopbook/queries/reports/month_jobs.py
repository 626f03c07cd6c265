"""What jobs brought in and cost over some days, and which of them are still in hand at their end, of what is read."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta

from shopbook.queries.money.costs import sum_by_job
from shopbook.queries.reports.cars_read import CarsRead
from shopbook.trade.results.margin import Costs, Margin
from shopbook.trade.results.month import InvoicedRow, SpentRow
from shopbook.trade.results.papers import is_invoiced_by, net_by_kind


def list_invoiced(read: CarsRead, first: date, last: date) -> list[InvoicedRow]:
    """Net by job and kind of line on the papers of these days, by the number of the job."""
    return [
        InvoicedRow(str(job.number), kind, net)
        for job in read.jobs
        for kind, net in sorted(net_by_kind(read.papers.get(job.id, ()), first, last).items())
    ]


def list_spent(read: CarsRead, first: date, last: date) -> list[SpentRow]:
    """What cars cost on these days by the number of the job; what puts a defect right stands apart."""
    sums = sum_by_job(read.costs_of(first, last))
    return [SpentRow(str(job.number), sums[job.id]) for job in read.jobs if job.id in sums]


def brought_forward(read: CarsRead, numbers: Collection[str], first: date) -> dict[str, Margin]:
    """What these jobs were invoiced and cost before a day, by number."""
    before = first - timedelta(days=1)
    costs = sum_by_job(read.costs_of(date.min, before))
    found = {}
    for job in read.jobs:
        nets = net_by_kind(read.papers.get(job.id, ()), date.min, before)
        if str(job.number) in numbers and (nets or job.id in costs):
            found[str(job.number)] = Margin(sum(nets.values()), costs.get(job.id, Costs()))
    return found


def list_in_hand(read: CarsRead, numbers: Iterable[str], last: date) -> frozenset[str]:
    """Which of these jobs were neither invoiced, handed over nor cancelled by the end of a day."""
    wanted = set(numbers)
    return frozenset(
        str(job.number)
        for job in read.jobs
        if str(job.number) in wanted
        and (job.handed_over_on is None or job.handed_over_on > last)
        and (job.called_off_at is None or read.shop.day_of(job.called_off_at) > last)
        and not is_invoiced_by(read.papers.get(job.id, ()), last)
    )

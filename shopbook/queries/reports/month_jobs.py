"""What jobs brought in and cost over a span of days, and which of them are still in hand at its end."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, TypeVarTuple

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceLine
from shopbook.queries.money.costs import CostLine, list_costs, sum_by_job
from shopbook.queries.shop.days import day_of
from shopbook.trade.billing import LineKind
from shopbook.trade.results.margin import Costs, Margin
from shopbook.trade.results.month import InvoicedRow, SpentRow

Columns = TypeVarTuple("Columns")


@dataclass(frozen=True, slots=True)
class Span:
    """Days from `first` to `last`, both included; of the jobs of these numbers only, or of all."""

    first: date
    last: date
    numbers: Collection[int] | None = None

    def of(self, asked: Select[*Columns], day: Any) -> Select[*Columns]:
        """The statement over rows of these days and jobs; it has joined the job."""
        within = asked.where(day.between(self.first, self.last))
        return within if self.numbers is None else within.where(Job.number.in_(self.numbers))


def list_invoiced(session: Session, span: Span) -> list[InvoicedRow]:
    """Net by job and kind of line on the papers of these days, by the number of the job."""
    asked = (
        select(Job.number, InvoiceLine.kind, func.sum(InvoiceLine.net_minor))
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .join(Job, Job.id == Invoice.job_id)
        .group_by(Job.number, InvoiceLine.kind)
        .order_by(Job.number, InvoiceLine.kind)
    )
    rows = session.execute(span.of(asked, Invoice.issued_on))
    return [InvoicedRow(str(number), LineKind(kind), int(net)) for number, kind, net in rows]


def list_spent(session: Session, costs: Iterable[CostLine]) -> list[SpentRow]:
    """These lines added up by the number of the job; what puts a defect right stands apart. One statement."""
    sums = sum_by_job(costs)
    numbers = session.execute(select(Job.id, Job.number).where(Job.id.in_(sums)).order_by(Job.number))
    return [SpentRow(str(number), sums[job_id]) for job_id, number in numbers]


def brought_forward(
    session: Session, numbers: Collection[int], first: date, cost_before: Mapping[str, Costs] | None = None
) -> dict[str, Margin]:
    """What these jobs were invoiced and cost before a day, by number; eight statements however many, one where what
    they cost is read already."""
    span = Span(date.min, first - timedelta(days=1), numbers)
    revenue: dict[str, int] = defaultdict(int)
    for row in list_invoiced(session, span):
        revenue[row.job] += row.net_minor
    costs = _cost_before(session, span) if cost_before is None else cost_before
    names = [str(number) for number in numbers if str(number) in revenue or str(number) in costs]
    return {job: Margin(revenue.get(job, 0), costs.get(job, Costs())) for job in names}


def _cost_before(session: Session, span: Span) -> dict[str, Costs]:
    ids = session.scalars(select(Job.id).where(Job.number.in_(span.numbers or ()))).all()
    return {row.job: row.costs for row in list_spent(session, list_costs(session, jobs=ids, last=span.last))}


def list_in_hand(session: Session, numbers: Collection[int], last: date) -> frozenset[str]:
    """Which of these jobs were neither invoiced, handed over nor cancelled by the end of a day; two statements."""
    invoiced = set(session.scalars(_invoiced_by(numbers, last)))
    rows = session.execute(
        select(Job.number, Job.handed_over_on, Job.called_off_at).where(Job.number.in_(numbers))
    ).all()
    return frozenset(
        str(number)
        for number, gone_on, off_at in rows
        if number not in invoiced
        and (gone_on is None or gone_on > last)
        and (off_at is None or day_of(session, off_at) > last)
    )


def _invoiced_by(numbers: Collection[int], last: date) -> Select[int]:
    """Numbers of jobs with an invoice (no deposit) that no credit notes had taken back whole by that day."""
    credit = aliased(Invoice)
    back = (
        select(func.sum(credit.gross_minor))
        .where(credit.credits_id == Invoice.id, credit.issued_on <= last)
        .correlate(Invoice)
        .scalar_subquery()
    )
    return (
        select(Job.number)
        .join(Invoice, Invoice.job_id == Job.id)
        .where(Job.number.in_(numbers), Invoice.kind == "invoice", Invoice.issued_on <= last)
        .where(or_(back.is_(None), Invoice.gross_minor + back != 0))
    )

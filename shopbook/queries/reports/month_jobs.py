"""What jobs brought in and cost over a span of days, and which of them are still in hand at its end."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, TypeVarTuple

from sqlalchemy import ColumnElement, Select, case, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage
from shopbook.models.money import Invoice, InvoiceLine
from shopbook.models.shelf import Movement
from shopbook.queries.money.shop_floor import floor_shares, floor_spread
from shopbook.queries.shelf.movements import STAGE_KINDS
from shopbook.queries.shop.days import day_of
from shopbook.trade.billing import LineKind
from shopbook.trade.margin import Costs, Margin
from shopbook.trade.month import InvoicedRow, SpentRow

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


def list_spent(session: Session, span: Span) -> list[SpentRow]:
    """Labour, materials, parts and sublet work by job on the days of whole months, and its part of their shop floor.

    Labour and materials of what puts a defect right stand apart.
    """
    costs: dict[int, Costs] = defaultdict(Costs)
    for number, is_rework, cost in session.execute(span.of(_labour(), ClockEntry.on)):
        costs[number] += Costs(rework_minor=int(cost)) if is_rework else Costs(labour_minor=int(cost))
    for number, is_rework, cost in session.execute(span.of(_materials(), Movement.on)):
        costs[number] += Costs(rework_minor=int(cost)) if is_rework else Costs(materials_minor=int(cost))
    for number, kind, cost in session.execute(span.of(_bought(), JobPart.came_on)):
        costs[number] += Costs(sublet_minor=int(cost)) if kind == "sublet" else Costs(parts_minor=int(cost))
    for number, share in _floor(session, span):
        costs[number] += Costs(floor_minor=share)
    return [SpentRow(str(number), spent) for number, spent in sorted(costs.items())]


def _floor(session: Session, span: Span) -> list[tuple[int, int]]:
    """The number of each job and what it carries of what was opened for the shop floor."""
    asked = select(Job.id, Job.number)
    if span.numbers is None:
        carried = floor_spread(session, span.first, span.last)
        numbers = dict(session.execute(asked.where(Job.id.in_(carried))).all())
    else:
        numbers = dict(session.execute(asked.where(Job.number.in_(span.numbers))).all())
        carried = floor_shares(session, numbers, span.last)
    return [(numbers[job_id], share) for job_id, share in carried.items()]


def is_rework() -> ColumnElement[bool]:
    """A stage that mends a defect, or any stage of a car that came back."""
    return case((Stage.purpose == "rework", True), (Job.purpose == "comeback", True), else_=False)


def _labour() -> Select[int, bool, int]:
    rework = is_rework()
    return (
        select(Job.number, rework, func.sum(ClockShare.cost_minor))
        .select_from(ClockShare)
        .join(ClockEntry, ClockEntry.id == ClockShare.entry_id)
        .join(Stage, Stage.id == ClockShare.stage_id)
        .join(Job, Job.id == ClockShare.job_id)
        .group_by(Job.number, rework)
    )


def _materials() -> Select[int, bool, int]:
    rework = is_rework()
    return (
        select(Job.number, rework, -func.sum(Movement.value_minor))
        .select_from(Movement)
        .join(Job, Job.id == Movement.job_id)
        .outerjoin(Stage, Stage.id == Movement.stage_id)
        .where(Movement.kind.in_(STAGE_KINDS))
        .group_by(Job.number, rework)
    )


def _bought() -> Select[int, str, int]:
    return (
        select(Job.number, JobPart.kind, func.sum(JobPart.cost_minor))
        .join(Job, Job.id == JobPart.job_id)
        .where(JobPart.sent_back_at.is_(None), JobPart.struck_at.is_(None))
        .group_by(Job.number, JobPart.kind)
    )


def brought_forward(session: Session, numbers: Collection[int], first: date) -> dict[str, Margin]:
    """What these jobs were invoiced and cost before a day, by number; eight statements however many."""
    span = Span(date.min, first - timedelta(days=1), numbers)
    revenue: dict[str, int] = defaultdict(int)
    for row in list_invoiced(session, span):
        revenue[row.job] += row.net_minor
    costs = {row.job: row.costs for row in list_spent(session, span)}
    return {job: Margin(revenue.get(job, 0), costs.get(job, Costs())) for job in {**revenue, **costs}}


def list_in_hand(session: Session, numbers: Collection[int], last: date) -> frozenset[str]:
    """Which of these jobs were neither invoiced, handed over nor called off by the end of a day; two statements."""
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

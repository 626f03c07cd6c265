"""Every line by which money was set against a paper or taken off it, with the day on which it counts."""

from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.trade.billing.as_of import SetLine, in_order


def list_set_lines(session: Session, where: ColumnElement[bool]) -> list[SetLine]:
    """The lines that a condition on `Allocation` names, oldest first, each with the day it counts on; one statement."""
    asked = (
        select(Allocation, Payment.kind, Payment.series, Payment.on, Payment.at, Invoice.issued_on, _gone_on())
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .where(where)
    )
    # Put in order here: asked in order of their ids, a span of days would be read by walking through all lines.
    rows = sorted(session.execute(asked), key=lambda row: row[0].id)
    return in_order(_line(*row) for row in rows)


def _gone_on() -> Any:  # a scalar subquery of a day, which the library types as of anything
    """The day on which the money went back by the same act, for what was taken off a paper."""
    back = aliased(Payment)
    return (
        select(func.min(back.on))
        .where(back.job_id == Payment.job_id, back.reverses_id == Payment.id, back.at == Allocation.at)
        .where(back.series == "receipt")
        .correlate(Payment, Allocation)
        .scalar_subquery()
    )


def _line(row: Allocation, kind: str, series: str, came_on: Any, came_at: Any, issued_on: Any, gone_on: Any) -> SetLine:
    line = SetLine(
        allocation_id=row.id,
        payment_id=row.payment_id,
        paper_id=row.invoice_id,
        customer_id=row.customer_id,
        kind=kind,
        is_money=series == "receipt",
        amount_minor=row.amount_minor,
        counts_on=row.on,
        issued_on=issued_on,
    )
    if row.amount_minor > 0 and row.at == came_at:
        return replace(line, counts_on=max(came_on, issued_on))
    return replace(line, counts_on=gone_on) if row.amount_minor < 0 and gone_on else line

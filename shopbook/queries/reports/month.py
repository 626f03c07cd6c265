"""The month in rows, as the owner's month end sums them: a fixed number of statements whatever the month holds."""

from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceTax
from shopbook.queries.floor.hours import Sheets, sheets_to_the_end, sum_hours
from shopbook.queries.reports.month_jobs import brought_forward, list_in_hand, list_invoiced, list_spent
from shopbook.queries.reports.sold_work import supplies_on_no_job
from shopbook.queries.reports.span_read import SpanRead, read_span
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.pricing.lines import hour_of
from shopbook.trade.results.month import Hours, MonthEnd, TaxRow, month_end
from shopbook.trade.results.papers import gross_of


def get_month_end(session: Session, month: str, read: SpanRead | None = None, sheets: Sheets | None = None) -> MonthEnd:
    """The figures of a month ("2026-10") by the days of its papers, clocks and movements; `read` is a span with the
    month in it, and `sheets` its hours by person and day, where they are read already."""
    first, last = month_bounds(month)
    read = read_span(ShopOn(session, last), first, last) if read is None else read
    then, cars, stock = read.shop.on(last), read.cars, read.shelf.sums(first, last)
    invoiced, spent = list_invoiced(cars, first, last), list_spent(cars, first, last)
    numbers = {row.job for row in invoiced} | {row.job for row in spent}
    return month_end(
        invoiced,
        _taxes(session, first, last),
        spent,
        _hours(then, read, first, sheets_to_the_end(then, first, last, read.house.hours) if sheets is None else sheets),
        stock,
        sum(gross_of(papers, first, last) for papers in cars.papers.values()),
        before=brought_forward(cars, numbers, first),
        in_hand=list_in_hand(cars, numbers, last),
        supplies_on_no_job_minor=supplies_on_no_job(read, first, last),
    )


def _taxes(session: Session, first: date, last: date) -> list[TaxRow]:
    rows = session.execute(
        select(
            InvoiceTax.code,
            func.max(InvoiceTax.name),
            InvoiceTax.rate_thousandths,
            func.sum(InvoiceTax.basis_minor),
            func.sum(InvoiceTax.tax_minor),
        )
        .join(Invoice, Invoice.id == InvoiceTax.invoice_id)
        .where(Invoice.issued_on.between(first, last))
        .group_by(InvoiceTax.code, InvoiceTax.rate_thousandths)
        .order_by(InvoiceTax.code, InvoiceTax.rate_thousandths)
    )
    return [TaxRow(code, name, rate, int(basis), int(tax)) for code, name, rate, basis, tax in rows]


def _hours(then: ShopOn, read: SpanRead, first: date, sheets: Sheets) -> Hours:
    here, on_cars, paid_cost = sum_hours(then, sheets)
    return Hours(
        here_minutes=here,
        on_cars_minutes=on_cars,
        sold_minutes=sum(read.hours.minutes(first, then.day).values()),
        paid_cost_minor=paid_cost,
        charged_minor=hour_of(then.labour, Skill.BODY, CustomerKind.PRIVATE),
    )

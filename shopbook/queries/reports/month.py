"""The month in rows, as the owner's month end sums them: a fixed number of statements whatever the month holds."""

from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceTax
from shopbook.queries.floor.hours import Sheets, sheets_to_the_end, sum_hours
from shopbook.queries.money.costs import CostLine, list_costs
from shopbook.queries.reports.hours_sold import list_hours_sold
from shopbook.queries.reports.month_jobs import (
    Span,
    brought_forward,
    list_in_hand,
    list_invoiced,
    list_spent,
)
from shopbook.queries.shelf.movements import stock_sums
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.measures.days import month_bounds
from shopbook.trade.pricing.lines import hour_of
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.month import Hours, MonthEnd, TaxRow, month_end


def list_month_costs(session: Session, month: str) -> list[CostLine]:
    """What jobs cost in a month, for whoever asks more than one thing of it."""
    first, last = month_bounds(month)
    return list_costs(session, first=first, last=last)


def get_month_end(
    session: Session,
    month: str,
    costs: Sequence[CostLine] | None = None,
    shop: ShopOn | None = None,
    cost_before: Mapping[str, Costs] | None = None,
    sheets: Sheets | None = None,
) -> MonthEnd:
    """The figures of a month ("2026-10") by the days of its papers, clocks and movements; `costs` are its
    `list_month_costs`, `shop` the shop on any day, `cost_before` what its jobs cost in earlier months by number, and
    `sheets` its hours by person and day, where they are read already."""
    first, last = month_bounds(month)
    then = shop.on(last) if shop else ShopOn(session, last)
    lines = list_month_costs(session, month) if costs is None else costs
    invoiced, spent = list_invoiced(session, Span(first, last)), list_spent(session, lines)
    numbers = {int(row.job) for row in invoiced} | {int(row.job) for row in spent}
    stock = stock_sums(session, first, last)
    gross = session.scalar(select(func.sum(Invoice.gross_minor)).where(Invoice.issued_on.between(first, last)))
    return month_end(
        invoiced,
        _taxes(session, first, last),
        spent,
        _hours(then, first, sheets_to_the_end(then, first, last) if sheets is None else sheets),
        stock,
        int(gross or 0),
        before=brought_forward(session, numbers, first, cost_before),
        in_hand=list_in_hand(session, numbers, last),
        supplies_on_no_job_minor=stock.issued_to_supplies_minor - sum(line.costs.supplies_minor for line in lines),
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


def _hours(shop: ShopOn, first: date, sheets: Sheets) -> Hours:
    here, on_cars, paid_cost = sum_hours(shop, sheets)
    charged = hour_of(shop.labour, Skill.BODY, CustomerKind.PRIVATE)
    return Hours(
        here_minutes=here,
        on_cars_minutes=on_cars,
        sold_minutes=sum(list_hours_sold(shop.session, first, shop.day).values()),
        paid_cost_minor=paid_cost,
        charged_minor=charged,
    )

"""The month in rows, as the owner's month end sums them: a fixed number of statements whatever the month holds."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceTax
from shopbook.queries.floor.hours import sum_hours
from shopbook.queries.money.costs import CostLine, list_costs
from shopbook.queries.money.shop_supplies import supplies_opened
from shopbook.queries.reports.month_jobs import (
    Span,
    brought_forward,
    list_in_hand,
    list_invoiced,
    list_spent,
)
from shopbook.queries.shelf.movements import stock_sums
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted
from shopbook.trade.planning.kerb import hour_must_bring
from shopbook.trade.pricing.lines import hour_of
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.month import Hours, InvoicedRow, MonthEnd, TaxRow, month_end
from shopbook.trade.settings import SettingName


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
) -> MonthEnd:
    """The figures of a month ("2026-10") by the days of its papers, clocks and movements; `costs` are its
    `list_month_costs`, `shop` the shop on any day, `cost_before` what its jobs cost in earlier months by number, where
    they are read already."""
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
        _hours(then, first, invoiced),
        stock,
        int(gross or 0),
        before=brought_forward(session, numbers, first, cost_before),
        in_hand=list_in_hand(session, numbers, last),
        supplies_on_no_job_minor=stock.issued_to_supplies_minor - sum(line.costs.supplies_minor for line in lines),
    )


def list_month_sums(session: Session, month: str, count: int = 6) -> list[tuple[str, int, int]]:
    """(month, invoiced net, cost) of `count` months up to this one, oldest first; for the chart."""
    months = [month_shifted(month, -back) for back in range(count - 1, -1, -1)]
    first, last = month_bounds(months[0])[0], month_bounds(month)[1]
    net: dict[str, int] = defaultdict(int)
    for day, amount in session.execute(_net_by_day(first, last)):
        net[month_of(day)] += int(amount)
    # All shop supplies opened count in their month, also where no job carries them.
    cost: dict[str, int] = defaultdict(int, supplies_opened(session, first, last))
    for line in list_costs(session, first=first, last=last):
        cost[month_of(line.on)] += line.costs.total_minor - line.costs.supplies_minor
    return [(name, net[name], cost[name]) for name in months]


def _net_by_day(first: date, last: date) -> Select[Any, Any]:
    return (
        select(Invoice.issued_on, func.sum(Invoice.net_minor))
        .where(Invoice.issued_on.between(first, last))
        .group_by(Invoice.issued_on)
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


def _hours(shop: ShopOn, first: date, invoiced: list[InvoicedRow]) -> Hours:
    """Hours sold are the labour invoiced over what the shop charges for an hour of body work on the last day."""
    here, on_cars, paid_cost = sum_hours(shop, first, shop.day)
    charged = hour_of(shop.labour, Skill.BODY, CustomerKind.PRIVATE)
    labour = sum(row.net_minor for row in invoiced if row.kind is LineKind.LABOUR)
    return Hours(
        here_minutes=here,
        on_cars_minutes=on_cars,
        sold_minutes=divide_half_away(labour * 60, charged) if charged else 0,
        paid_cost_minor=paid_cost,
        charged_minor=charged,
        must_bring_minor=hour_must_bring(shop.settings[SettingName.MUST_BRING_MINOR], charged),
    )

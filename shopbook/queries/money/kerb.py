"""What a price said at the kerb is with and without tax, as the shop types its prices."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.queries.jobs.kerb import KerbLine, KerbSum
from shopbook.queries.money.planned import PlannedLine, drafted_lines
from shopbook.queries.money.pricing import bill_rates_on, quote_rates_on, tax_codes_on
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.amounts import divide_half_away, share_out
from shopbook.trade.billing import Bill, BillLine, LineKind, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import PricedLine, QuoteRates
from shopbook.trade.pricing.listed import bill_from_price
from shopbook.trade.settings import SettingName

SHARES = {LineKind.LABOUR: 700, LineKind.MATERIALS: 300}
"""How a painted price falls on hours and materials while no plan says better; common practice, from memory."""

NOMINAL_MINOR = 1_000_000


@dataclass(frozen=True, slots=True)
class KerbTax:
    """A price with and without tax; `net_permille` is what of a typed price is left before tax.

    While the shop has not set its tax a price `is_before_tax`: it is said "plus tax" and both figures are the price.
    """

    net_minor: int
    gross_minor: int
    has_tax_inside: bool
    net_permille: int
    is_before_tax: bool = False


def kerb_tax(session: Session, now: datetime, price_minor: int) -> KerbTax:
    """Both figures for a price as it is typed on the day of `now`; without kinds of tax both are the price."""
    day = day_of(session, now)
    holds_tax = bool(setting_on(session, SettingName.PRICES_HOLD_TAX, day))
    codes, rates = tax_codes_on(session, day), bill_rates_on(session, day)
    if any(kind not in codes for kind in SHARES):
        return KerbTax(price_minor, price_minor, holds_tax, 1000)

    def bill(minor: int) -> Bill:
        return bill_from_price(minor, SHARES, codes, rates, includes_tax=holds_tax)

    nominal = bill(NOMINAL_MINOR)
    left = divide_half_away(nominal.net_minor * 1000, NOMINAL_MINOR) if holds_tax else 1000
    asked = bill(price_minor)
    return KerbTax(asked.net_minor, asked.gross_minor, holds_tax, left, asked.is_before_tax)


def kerb_total(session: Session, now: datetime, worked: KerbSum) -> KerbTax:
    """The panels together with and without tax: to the last unit what the quote says once this price is kept."""
    day = day_of(session, now)
    usual = kerb_tax(session, now, worked.price_minor)
    if any(kind not in tax_codes_on(session, day) for kind in SHARES):
        return usual
    rates, drafted = quote_rates_on(session, day), _drafted(session, worked, day)
    lines = [
        BillLine(planned.line.kind, planned.line.words, amount, planned.line.tax_code)
        for row in worked.lines
        for planned, amount in _split(row, drafted, rates)
    ]
    bill = make_bill(lines, bill_rates_on(session, day), includes_tax=usual.has_tax_inside)
    return replace(usual, net_minor=bill.net_minor, gross_minor=bill.gross_minor)


def lines_by_habit(rates: QuoteRates, *, is_painted: bool) -> list[PlannedLine]:
    """The kinds of line that a price is for while there is no plan, weighed by habit."""
    shares = SHARES if is_painted else {LineKind.LABOUR: 1000}
    words = {LineKind.LABOUR: "Work", LineKind.MATERIALS: "Materials"}
    return [PlannedLine(PricedLine(kind, words[kind], share, rates.tax_code(kind))) for kind, share in shares.items()]


def _drafted(session: Session, worked: KerbSum, day: date) -> Mapping[str, list[PlannedLine]]:
    """A price is said although a rate is missing: the plan then tells nothing of its kinds."""
    panels = [row.answer.panel for row in worked.lines]
    try:
        return drafted_lines(session, worked.draft, panels, day) if worked.draft else {}
    except RuleBroken:
        return {}


def _split(row: KerbLine, drafted: Mapping[str, list[PlannedLine]], rates: QuoteRates) -> list[tuple[PlannedLine, int]]:
    lines = drafted.get(row.answer.panel) or lines_by_habit(rates, is_painted=row.is_painted)
    amounts = share_out(row.price_minor or 0, [each.line.amount_minor for each in lines])
    return list(zip(lines, amounts, strict=True))

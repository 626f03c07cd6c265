"""What a price said at the kerb is with and without tax, as the shop types its prices."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from shopbook.queries.jobs.kerb import KerbSum
from shopbook.queries.money.planned import drafted_lines
from shopbook.queries.money.pricing import bill_rates, quote_rates_of, tax_codes
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing import Bill, BillLine, LineKind
from shopbook.trade.billing.exempt import rates_for
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.pricing import PricedGroup, QuoteRates, sum_quote
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


def kerb_tax(shop: ShopOn, price_minor: int, exemption: Mapping[str, Any] | None = None) -> KerbTax:
    """Both figures for a price as it is typed on the shop's day; without kinds of tax both are the price.

    `exemption` is the customer's certificate as it is kept: where it holds that day no tax is charged.
    """
    holds_tax = bool(shop.settings[SettingName.PRICES_HOLD_TAX])
    codes, rates = tax_codes(shop.taxes), rates_for(bill_rates(shop.taxes), exemption, shop.day)
    if any(kind not in codes for kind in SHARES):
        return KerbTax(price_minor, price_minor, holds_tax, 1000)

    def bill(minor: int) -> Bill:
        return bill_from_price(minor, SHARES, codes, rates, includes_tax=holds_tax)

    nominal = bill(NOMINAL_MINOR)
    left = divide_half_away(nominal.net_minor * 1000, NOMINAL_MINOR) if holds_tax else 1000
    asked = bill(price_minor)
    return KerbTax(asked.net_minor, asked.gross_minor, holds_tax, left, asked.is_before_tax)


@dataclass(frozen=True, slots=True)
class KerbTotal:
    """What a quick estimate comes to, the very sum of the quote that is kept from it, and what more panels save."""

    tax: KerbTax
    price_minor: int
    saved: tuple[BillLine, ...] = ()
    by_hours_minor: int | None = None
    """What the plan's hours and materials come to at the shop's rates, as it types its prices; None without them."""


def kerb_total(
    shop: ShopOn, worked: KerbSum, titles: Mapping[str, str], exemption: Mapping[str, Any] | None = None
) -> KerbTotal:
    """The panels in total, with and without tax, by the function that sums quotes; `titles` names them as it will, and
    `exemption` is the certificate of the customer that was chosen.

    Without the shop's kinds of tax the price stands alone.
    """
    usual = kerb_tax(shop, worked.price_minor, exemption)
    if any(kind not in tax_codes(shop.taxes) for kind in SHARES):
        return KerbTotal(usual, worked.price_minor)
    rates, drafted = quote_rates_of(shop), _drafted(shop, worked)
    groups = [
        PricedGroup(
            key=row.answer.panel,
            title=titles[row.answer.panel],
            lines=tuple(drafted.get(row.answer.panel) or lines_by_habit(rates, is_painted=row.is_painted)),
            price_minor=row.price_minor or 0,
            painted=worked.painted.get(row.answer.panel),
            group_key=row.answer.panel,
        )
        for row in worked.lines
    ]
    inside = usual.has_tax_inside
    taxes = rates_for(bill_rates(shop.taxes), exemption, shop.day)
    bill = sum_quote(groups, taxes, includes_tax=inside, savings=worked.terms).taken
    tax = replace(usual, net_minor=bill.net_minor, gross_minor=bill.gross_minor)
    by_hours = sum(line.amount_minor for lines in drafted.values() for line in lines) if drafted else None
    return KerbTotal(tax, bill.lines_minor, tuple(bill.savings), by_hours)


def lines_by_habit(rates: QuoteRates, *, is_painted: bool) -> list[BillLine]:
    """The kinds of line that a price is for while there is no plan, weighed by habit."""
    shares = SHARES if is_painted else {LineKind.LABOUR: 1000}
    words = {LineKind.LABOUR: "Work", LineKind.MATERIALS: "Materials"}
    return [BillLine(kind, words[kind], share, rates.tax_code(kind)) for kind, share in shares.items()]


def _drafted(shop: ShopOn, worked: KerbSum) -> Mapping[str, list[BillLine]]:
    """A price is said although a rate is missing: the plan then tells nothing of its kinds."""
    panels = [row.answer.panel for row in worked.lines]
    try:
        return drafted_lines(shop, worked.draft, panels, worked.materials) if worked.draft else {}
    except RuleBroken:
        return {}

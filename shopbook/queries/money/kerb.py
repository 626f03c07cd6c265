"""What a price said at the kerb is with and without tax, as the shop types its prices."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.queries.money.pricing import bill_rates_on, tax_codes_on
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.amounts import divide_half_away
from shopbook.trade.billing import Bill, LineKind
from shopbook.trade.pricing.listed import bill_from_price
from shopbook.trade.settings import SettingName

SHARES = {LineKind.LABOUR: 700, LineKind.MATERIALS: 300}
"""How a price falls on hours and materials before a quote says better; common practice, from memory."""

NOMINAL_MINOR = 1_000_000


@dataclass(frozen=True, slots=True)
class KerbTax:
    """A price with and without tax; `net_permille` is what of a typed price is left before tax."""

    net_minor: int
    gross_minor: int
    has_tax_inside: bool
    net_permille: int


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
    return KerbTax(asked.net_minor, asked.gross_minor, holds_tax, left)

"""What the shop charges on a day, as the trade's pricing and billing take it."""

import json
from collections.abc import Iterable
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import TaxRate as TaxRateRow
from shopbook.queries.shop.rates import labour_rates_on, materials_rates, settings_on, tax_rates_on
from shopbook.trade.billing import LineKind, TaxRate, rate_of
from shopbook.trade.pricing import QuoteRates
from shopbook.trade.settings import SettingName

PRICED_KINDS = (LineKind.LABOUR, LineKind.MATERIALS, LineKind.PART, LineKind.COLOUR, LineKind.SUBLET, LineKind.FEE)


def bill_rates_on(session: Session, day: date) -> list[TaxRate]:
    """The kinds of tax that hold on a day, as a bill takes them."""
    return bill_rates(tax_rates_on(session, day))


def bill_rates(rows: Iterable[TaxRateRow]) -> list[TaxRate]:
    """Kinds of tax that are read already, as a bill takes them."""
    return [rate_of(row.code, row.name, row.rate_thousandths) for row in rows]


def bill_rates_by_day(session: Session, days: Iterable[date]) -> dict[date, list[TaxRate]]:
    """The same for several days, by day; one statement however many."""
    wanted = set(days)
    lines = list(session.scalars(select(TaxRateRow).order_by(TaxRateRow.from_on, TaxRateRow.id))) if wanted else []
    found = {}
    for day in wanted:
        latest = {line.code: line for line in lines if line.from_on <= day}
        found[day] = bill_rates(latest[code] for code in sorted(latest))
    return found


def tax_codes_on(session: Session, day: date) -> dict[LineKind, str]:
    """The kind of tax of each kind of line on a day; a kind that no tax names is left out."""
    return tax_codes(tax_rates_on(session, day))


def quote_rates_on(session: Session, day: date) -> QuoteRates:
    """Hours, paint and materials, markups and kinds of tax as they hold on a day; three statements."""
    held = settings_on(session, day)
    return QuoteRates(
        labour_minor=labour_rates_on(session, day),
        tax_codes=tax_codes(tax_rates_on(session, day)),
        materials=materials_rates(held),
        parts_markup_permille=held[SettingName.PARTS_MARKUP_PERMILLE],
        sublet_markup_permille=held[SettingName.SUBLET_MARKUP_PERMILLE],
    )


def tax_codes(rows: Iterable[TaxRateRow]) -> dict[LineKind, str]:
    """The kind of tax of each kind of line; where two name it, the one that charges something counts."""
    found: dict[LineKind, str] = {}
    for row in sorted(rows, key=lambda row: row.rate_thousandths):
        found |= {LineKind(kind): row.code for kind in json.loads(row.line_kinds) if kind in PRICED_KINDS}
    return found

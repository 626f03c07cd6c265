"""What the shop charges on a day, as the trade's pricing and billing take it."""

from collections.abc import Iterable
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Quote, QuoteGroup, QuoteLine
from shopbook.models.shop import DatedTaxRate
from shopbook.queries.shop.rates import labour_rates_on, materials_rates, settings_on, tax_rates_on
from shopbook.trade.billing import GOODS, NOT_SET, LineKind, TaxRate, rate_of
from shopbook.trade.billing.falls import by_rate
from shopbook.trade.pricing import QuoteRates
from shopbook.trade.settings import SettingName

PRICED_KINDS = (LineKind.LABOUR, LineKind.MATERIALS, LineKind.PART, LineKind.COLOUR, LineKind.SUBLET, LineKind.FEE)


def bill_rates_on(session: Session, day: date) -> list[TaxRate]:
    """The kinds of tax that hold on a day, as a bill takes them."""
    return bill_rates(tax_rates_on(session, day))


def bill_rates(rows: Iterable[DatedTaxRate]) -> list[TaxRate]:
    """Kinds of tax that are read already, as a bill takes them; before the shop has set any, none is charged."""
    return [
        rate_of(row.code, row.name, row.rate_thousandths, row.line_kinds, row.kinds_with_goods) for row in rows
    ] or [NOT_SET]


def bill_rates_by_day(session: Session, days: Iterable[date]) -> dict[date, list[TaxRate]]:
    """The same for several days, by day; one statement however many."""
    wanted = set(days)
    lines = (
        list(session.scalars(select(DatedTaxRate).order_by(DatedTaxRate.from_on, DatedTaxRate.id))) if wanted else []
    )
    found = {}
    for day in wanted:
        latest = {line.code: line for line in lines if line.from_on <= day}
        found[day] = bill_rates(latest[code] for code in sorted(latest))
    return found


def tax_codes_on(session: Session, day: date) -> dict[LineKind, str]:
    """The kind of tax of each kind of line on a day; a kind that no tax names is left out."""
    return tax_codes(tax_rates_on(session, day))


def extra_tax_codes(session: Session, job_id: int, day: date) -> dict[LineKind, str]:
    """The same for an extra: beside a job with something that stays on the car, kinds taxed with it are taxed.

    So that an extra of labor alone is said with the tax that the job's bill will carry on it.
    """
    rates = bill_rates_on(session, day)
    moved = {kind: rate.code for rate in by_rate(rates) for kind in rate.kinds_with_goods}
    codes = tax_codes_on(session, day)
    return codes | moved if moved and _carries_goods(session, job_id) else codes


def _carries_goods(session: Session, job_id: int) -> bool:
    lines = select(QuoteLine.id).join(QuoteGroup).join(Quote).where(Quote.job_id == job_id, Quote.kind != "extra")
    goods = lines.where(Quote.replaced_at.is_(None), QuoteLine.kind.in_(GOODS), QuoteLine.amount_minor > 0)
    return session.scalar(goods.limit(1)) is not None


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


def tax_codes(rows: Iterable[DatedTaxRate]) -> dict[LineKind, str]:
    """The kind of tax of each kind of line; where two name it, the one that charges more counts.

    Before the shop has set any, each has the empty code and falls under its kind of tax later.
    """
    rates = by_rate(bill_rates(rows))
    if rates == [NOT_SET]:
        return dict.fromkeys(PRICED_KINDS, NOT_SET.code)
    return {kind: rate.code for rate in rates for kind in rate.line_kinds if kind in PRICED_KINDS}

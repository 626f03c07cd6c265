"""The kinds of tax that a shop names when its first price with tax is wanted, and the row that each is kept as."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.shop import DatedTaxRate
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.rates import FROM_THE_FIRST, tax_rates_on
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.billing.sales_tax import SalesTaxAnswers, taxes_of
from shopbook.trade.countries import UsualTax
from shopbook.trade.errors import Conflict, RuleBroken

TAX_FIRST = "Set your tax first. There is no total without it."


def answer_sales_tax(act: Act, answers: SalesTaxAnswers) -> None:
    """Keep what follows from the shop's four answers, for as long as the book has been there.

    So that prices said before, "plus tax", get it too. Conflict when the tax was set meanwhile.
    """
    _set_first(act, taxes_of(answers, act.day))


def answer_province(act: Act, code: str) -> None:
    """Keep the rate of the province that was chosen, as `answer_sales_tax` does. RuleBroken for one not on the list."""
    found = next((each for each in country_of(get_book(act.session)).provinces if each.code == code), None)
    if found is None:
        raise RuleBroken("Choose the shop's province or territory.", "tax_province")
    _set_first(act, [found.tax])


def want_tax(session: Session, day: date) -> None:
    """RuleBroken, naming no total, while the shop has not set its tax: an approval or a deposit is for a total."""
    if not tax_rates_on(session, day):
        raise RuleBroken(TAX_FIRST, "tax_rate")


def _set_first(act: Act, taxes: Sequence[UsualTax]) -> None:
    if tax_rates_on(act.session, act.day):
        raise Conflict("Someone set the tax meanwhile. Check the total, then try again.")
    act.session.add_all(tax_row(tax, act.moment, is_confirmed=True) for tax in taxes)
    act.session.flush()
    words = f"Set the first tax: {', '.join(tax.name for tax in taxes)}"
    write_log(act, "set_tax", "tax_rate", None, words)


def tax_row(tax: UsualTax, now: datetime, *, is_confirmed: bool) -> DatedTaxRate:
    """A part of an act: a kind of tax as it is kept from the first day on."""
    return DatedTaxRate(
        code=tax.code,
        name=tax.name,
        rate_thousandths=tax.rate_thousandths,
        line_kinds=list(tax.line_kinds),
        kinds_with_goods=list(tax.kinds_with_goods),
        is_confirmed=is_confirmed,
        source=tax.source,
        read_on=tax.read_on,
        from_on=FROM_THE_FIRST,
        at=now,
    )

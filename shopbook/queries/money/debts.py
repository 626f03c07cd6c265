"""Debt that is written off: how much of an invoice, the tax in it, and what the desk may write off."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.money import Invoice
from shopbook.queries.money.invoices import PayerStanding, list_credits, payer_standings
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.billing.bad_debts import DebtTax, claimable_from, tax_in_debt
from shopbook.trade.settings import SettingName

USUAL_LIMIT = 5
"""What the desk may write off until the owner sets another limit, in whole units of the book's money."""


def desk_limit(session: Session, day: date) -> int:
    """How much of one payer's share of an invoice the desk may write off, in all."""
    limit: int | None = setting_on(session, SettingName.WRITE_OFF_LIMIT_MINOR, day)
    return USUAL_LIMIT * 10 ** get_book(session).currency_places if limit is None else limit


def written_off(session: Session, invoice_id: int) -> dict[int | None, int]:
    """What stands written off of a paper, by payer; what was recovered since is taken off."""
    rows = payer_standings(session, [invoice_id])[invoice_id]
    return {row.customer_id: row.written_off_minor for row in rows if row.written_off_minor}


def debt_tax(
    session: Session, invoice: Invoice, rows: Sequence[PayerStanding], customer_id: int | None, debt_minor: int
) -> DebtTax:
    """The tax in what one payer owes of a paper, in proportion, and from when it may be claimable.

    `rows` say how its payers stand. Of 1,200.00 with 200.00 tax due Apr 9, 300.00 paid: 150.00, in the UK from Oct 9.
    No payer of it: zero.
    """
    place = next((at for at, row in enumerate(rows) if row.customer_id == customer_id), None)
    if place is None:
        return DebtTax(0, None)
    notes = list_credits(session, invoice.id)
    gross = invoice.gross_minor + sum(note.gross_minor for note in notes)
    tax = invoice.tax_minor + sum(note.tax_minor for note in notes)
    found = tax_in_debt(debt_minor, place, [(row.words, row.share_minor) for row in rows], gross, tax)
    months = country_of(get_book(session)).debt_relief_months
    from_on = claimable_from(rows[place].due_on, _supplied(session, invoice), months) if found else None
    return DebtTax(found, from_on)


def _supplied(session: Session, invoice: Invoice) -> date:
    """The day of supply: of a corrected invoice that of the invoice that it began with."""
    while invoice.corrects_id is not None:
        invoice = session.get_one(Invoice, invoice.corrects_id)
    return invoice.supply_on

"""What is asked only when the first paper is written: the rates of tax, the last old number and the prefix
of numbers, the shop's address, tax number and bank account."""

import re

from shopbook.queries.money.invoices import has_any_invoice
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.postings import set_last_number, write_log
from shopbook.services.shop.rates import confirm_taxes
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import RuleBroken

_PREFIX = re.compile(r"[A-Za-z0-9/.-]{0,12}")


def prepare_first_invoice(
    act: Act,
    *,
    last_number: int | None,
    tax_number: str,
    address: str = "",
    pay_to: str = "",
    number_prefix: str = "",
) -> None:
    """Confirm the rates that hold, go on after the last old invoice, print the tax number, the address and how to pay
    from now on. What is left empty stays as it is.

    The prefix stands before the number of every invoice, never of a credit note: with "2026-" and the last old number
    1041 the first is "2026-1042". It is taken before the first invoice alone, so that one number is written one way.

    RuleBroken (last_number) for a number that was given here already, (number_prefix) for one that is none.
    """
    prefix = number_prefix.strip()
    if not _PREFIX.fullmatch(prefix):
        raise RuleBroken("Enter up to 12 letters, digits, dots, dashes or slashes, for example 2026-.", "number_prefix")
    confirm_taxes(act, act.day)
    if last_number:
        set_last_number(act.session, Series.INVOICE, last_number)
    book = get_book(act.session)
    typed = {"tax_number": tax_number.strip()[:200], "address": address.strip(), "pay_to": pay_to.strip()}
    if not has_any_invoice(act.session):
        typed["number_prefix"] = prefix
    for name, said in typed.items():
        if said and said != getattr(book, name):
            setattr(book, name, said)
            book.revision += 1
    write_log(act, "prepare_first_invoice", "book", book.id, "Answered the questions before the first invoice")

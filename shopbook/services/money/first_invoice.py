"""What is asked only when the first paper is written: the rates of tax, the last old number, the shop's address
and tax number."""

from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.postings import set_last_number, write_log
from shopbook.services.shop.rates import confirm_taxes
from shopbook.trade.billing.number_series import Series


def prepare_first_invoice(act: Act, *, last_number: int | None, tax_number: str, address: str = "") -> None:
    """Confirm the rates that hold, go on after the last old invoice, print the tax number and address from now on.

    RuleBroken (last_number) for a number that was given here already.
    """
    confirm_taxes(act, act.day)
    if last_number:
        set_last_number(act.session, Series.INVOICE, last_number)
    book = get_book(act.session)
    for name, said in (("tax_number", tax_number.strip()[:200]), ("address", address.strip())):
        if said and said != getattr(book, name):
            setattr(book, name, said)
            book.revision += 1
    write_log(act, "prepare_first_invoice", "book", book.id, "Answered the questions before the first invoice")

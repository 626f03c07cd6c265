"""What is asked only when the first paper is written: the rates of tax, the last old number, the shop's address
and tax number."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.days import day_of
from shopbook.services.postings import set_last_number, write_log
from shopbook.services.shop.rates import confirm_taxes
from shopbook.trade.number_series import Series
from shopbook.trade.permissions import Actor


def prepare_first_invoice(
    session: Session, actor: Actor, now: datetime, *, last_number: int | None, tax_number: str, address: str = ""
) -> None:
    """Confirm the rates that hold, go on after the last old invoice, print the tax number and address from now on.

    RuleBroken (last_number) for a number that was given here already.
    """
    confirm_taxes(session, actor, now, day_of(session, now))
    if last_number:
        set_last_number(session, Series.INVOICE, last_number)
    book = get_book(session)
    for name, said in (("tax_number", tax_number.strip()[:200]), ("address", address.strip())):
        if said and said != getattr(book, name):
            setattr(book, name, said)
            book.revision += 1
    write_log(session, actor, now, "prepare_first_invoice", "book", book.id, "Answered what the first invoice asks")

"""The papers that a typed number names."""

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.number_series import Series
from shopbook.trade.search_keys import asked_number


def list_of_number(shop: ShopOn, typed: str) -> list[tuple[Invoice, Job]]:
    """The invoice and the credit note of a number ("1042", "2026-1042", "invoice 1042"), jobs and customers loaded.

    A credit note is printed without the prefix of invoices, so it is not found with one.
    """
    plain = typed.strip().casefold().removeprefix("invoice ").strip()
    prefix = shop.book.number_prefix
    number = asked_number(plain, prefix)
    if number is None:
        return []
    has_prefix = asked_number(plain) is None
    series = (Series.INVOICE,) if has_prefix else (Series.INVOICE, Series.CREDIT)
    asked = select(Invoice, Job).join(Job, Job.id == Invoice.job_id).options(joinedload(Job.customer))
    asked = asked.where(Invoice.series.in_(series), Invoice.year == 0, Invoice.number == number)
    return [(paper, job) for paper, job in shop.session.execute(asked.order_by(Invoice.series.desc()))]

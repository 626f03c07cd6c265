"""The questions at the first invoice: tax rates to confirm, the last old number and its prefix, the
shop's address, tax number and bank account."""

from dataclasses import dataclass

from shopbook.queries.money.billable import billing_of
from shopbook.queries.money.invoices import has_any_invoice
from shopbook.queries.shop.book import list_last_numbers
from shopbook.services.money.complete_papers import keep_asked_customer, keep_asked_shop
from shopbook.services.money.first_invoice import prepare_first_invoice
from shopbook.trade.billing import rate_words
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.invoice_forms import FirstInvoiceForm
from shopbook.web.parts import Act, reader, shop_now
from shopbook.web.parts.rows import Job
from shopbook.web.parts.tax_start import TaxQuestions, ask_tax, keep_tax


@dataclass(frozen=True, slots=True)
class FirstNotice:
    """What the notice shows: `before` is what it is asked for, `asked` the questions about tax."""

    before: str
    asked: TaxQuestions | None
    rates: list[tuple[str, str]]
    wants_confirming: bool
    is_first: bool
    tax_number: str
    wants_address: bool
    wants_account: bool


def first_notice(form: FirstInvoiceForm, before: str = "invoice") -> FirstNotice | None:
    """What the notice shows, or None once it need not be shown: a paper was issued and every rate is confirmed.

    Tax questions that no longer need an answer are removed from the form.
    """
    asked = ask_tax(form)
    session, shop = reader(), shop_now()
    unconfirmed = billing_of(shop).unconfirmed
    is_first = not has_any_invoice(session) and not list_last_numbers(session).get(Series.INVOICE)
    if not unconfirmed and not is_first:
        return None
    return FirstNotice(
        before=before,
        asked=asked,
        rates=[(tax.name, rate_words(tax.rate_thousandths)) for tax in shop.taxes],
        wants_confirming=bool(unconfirmed) and asked is None,
        is_first=is_first,
        tax_number=shop.book.tax_number,
        wants_address=not shop.book.address,
        wants_account=not shop.book.pay_to,
    )


def keep_asked(act: Act, form: FirstInvoiceForm, job: Job) -> None:
    """Keep what a refused paper asked for: the customer's name and address, the shop's number and address."""
    keep_asked_customer(act, job, name=form.customer_name.data or "", address=form.customer_address.data or "")
    keep_asked_shop(act, tax_number=form.tax_number.data or "", address=form.address.data or "")


def answer_first(act: Act, form: FirstInvoiceForm, notice: FirstNotice | None) -> None:
    """Keep what the notice asked; RuleBroken while the tax is not set or its rates are not confirmed."""
    if notice is None:
        return
    keep_tax(act, form, notice.asked)
    if notice.wants_confirming and not form.is_confirmed.data:
        raise RuleBroken("Check the tax rates and tick the box, or change them in Settings.", "is_confirmed")
    prepare_first_invoice(
        act,
        last_number=form.last_number.data,
        tax_number=form.tax_number.data or "",
        address=form.address.data or "",
        pay_to=form.pay_to.data or "",
        number_prefix=form.number_prefix.data or "",
    )

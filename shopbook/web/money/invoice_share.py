"""An issued paper as a message: to each payer its sum, what is still to pay, until when and how; the file beside it."""

from flask import render_template

from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.money.quote_view import long_day
from shopbook.web.parts import car_text, money, needs, reader, shop_now
from shopbook.web.parts.rows import Customer, Invoice, Job
from shopbook.web.parts.sending import Sending, send_to


@blueprint.get("/invoices/<int:invoice_id>/share")
@needs("money", "see")
def invoice_share(invoice_id: int) -> str:
    found = get_invoice(reader(), invoice_id)
    job = get_job_by_id(reader(), found.job_id)
    title = f"{KINDS[found.kind]} {found.number}"
    return render_template(
        "money/invoice_share.html", invoice=found, job=job, title=title, sendings=_sendings(found, job, title)
    )


def _sendings(found: Invoice, job: Job, title: str) -> list[tuple[str, Sending]]:
    """To whom, and the message: one for each payer of an invoice, a credit note goes to the customer."""
    car = f" for {car_text(job.vehicle)}" if job.vehicle else ""
    head = f"{shop_now().book.shop_name}, {title[:1].lower()}{title[1:]}{car}:"
    if found.kind == "credit":
        text = f"{head} {money(-found.gross_minor)} credited, tax included."
        return [(_called(job.customer), send_to(job.customer, title, text))]
    rows = payer_standings(reader(), [found.id])[found.id]
    whole = f"{head} {money(found.gross_minor)}, tax included."
    return [_sending(row, job, title, whole, is_alone=len(rows) == 1) for row in rows]


def _sending(row: PayerStanding, job: Job, title: str, whole: str, *, is_alone: bool) -> tuple[str, Sending]:
    known = job.customer.id if job.customer else None
    payer = job.customer if row.whose_id in {None, known} else get_customer(reader(), row.whose_id)
    called = _called(payer)
    share = "" if is_alone else f" {called} pays {money(row.share_minor)}."
    return called, send_to(payer, title, f"{whole}{share} {_rest(row, '' if is_alone else called)}")


def _rest(row: PayerStanding, called: str) -> str:
    if row.owed_minor <= 0:
        return "Nothing is still to pay." if row.written_off_minor else "Paid in full. Thank you."
    paid = f"Paid so far: {money(row.paid_minor)}. " if row.paid_minor else ""
    how = " ".join(shop_now().book.pay_to.split())
    whose = f"{called} still to pay" if called else "Still to pay"
    return f"{paid}{whose}: {money(row.owed_minor)} by {long_day(row.due_on)}.{f' {how}' if how else ''}"


def _called(customer: Customer | None) -> str:
    known = customer if customer is not None and customer.erased_at is None else None
    return known.called if known else "Customer"

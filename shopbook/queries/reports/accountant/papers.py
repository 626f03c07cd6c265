"""The rows of what was billed: papers, their lines, tax and payers, by the day of issue."""

from collections.abc import Iterator
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceLine, InvoicePayer, InvoiceTax
from shopbook.queries.reports.accountant.reading import AnySelect, FlatValues, of_customer, read_rows

_BY_DAY = (Invoice.issued_on, Invoice.id)
"""By the day first, whose index finds them."""


def list_flat_invoices(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Papers issued on these days; one statement."""
    asked = select(
        Invoice.id.label("invoice_id"),
        *(Invoice.series, Invoice.year, Invoice.number, Invoice.kind, Invoice.job_id),
        Job.number.label("job_number"),
        *(Invoice.issued_on, Invoice.supply_on, Invoice.due_on),
        Invoice.credits_id.label("credits_invoice_id"),
        Invoice.corrects_id.label("corrects_invoice_id"),
        Invoice.net_minor.label("net"),
        Invoice.tax_minor.label("tax"),
        Invoice.gross_minor.label("gross"),
        Invoice.reason,
    ).join(Job, Job.id == Invoice.job_id)
    return read_rows(session, of_customer(_issued(asked, first, last), Invoice.customer_id).order_by(*_BY_DAY))


def list_flat_lines(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Lines of those papers; one statement."""
    asked = (
        select(
            InvoiceLine.id.label("line_id"),
            *(InvoiceLine.invoice_id, Invoice.issued_on, Invoice.job_id),
            Job.number.label("job_number"),
            InvoiceLine.kind,
            InvoiceLine.group_title.label("item"),
            InvoiceLine.words,
            InvoiceLine.net_minor.label("net"),
            InvoiceLine.tax_code,
        )
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .join(Job, Job.id == Invoice.job_id)
    )
    return read_rows(session, _issued(asked, first, last).order_by(*_BY_DAY, InvoiceLine.id))


def list_flat_taxes(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """Tax rows of those papers; one statement."""
    asked = select(
        InvoiceTax.id.label("tax_row_id"),
        *(InvoiceTax.invoice_id, Invoice.issued_on, Invoice.supply_on, InvoiceTax.code, InvoiceTax.name),
        InvoiceTax.rate_thousandths.label("rate"),
        InvoiceTax.basis_minor.label("basis"),
        InvoiceTax.tax_minor.label("tax"),
    ).join(Invoice, Invoice.id == InvoiceTax.invoice_id)
    return read_rows(session, _issued(asked, first, last).order_by(*_BY_DAY, InvoiceTax.id))


def list_flat_payers(session: Session, first: date, last: date) -> Iterator[FlatValues]:
    """What payers owe of papers by the day of issue, and what moved between them by the day it moved; one statement."""
    on = func.coalesce(InvoicePayer.on, Invoice.issued_on)
    asked = select(
        InvoicePayer.id.label("share_id"),
        *(InvoicePayer.invoice_id, on.label("on"), InvoicePayer.due_on),
        InvoicePayer.share_minor.label("share"),
        InvoicePayer.words,
    ).join(Invoice, Invoice.id == InvoicePayer.invoice_id)
    of_payer = of_customer(asked.where(on.between(first, last), Invoice.issued_on <= last), InvoicePayer.customer_id)
    return read_rows(session, of_payer.order_by(InvoicePayer.id))


def _issued(asked: AnySelect, first: date, last: date) -> AnySelect:
    return asked.where(Invoice.issued_on.between(first, last))

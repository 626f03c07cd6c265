"""How a paper gets into the book: its day checked, its number drawn, lines, tax and shares written once and for all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceLine, InvoicePayer, InvoiceTax
from shopbook.queries.money.billable import BillingDay
from shopbook.queries.money.invoices import find_live_invoice
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.postings import next_number, refuse_closed
from shopbook.services.shop.taxes import TAX_FIRST
from shopbook.trade.billing import NOT_SET, BillLine, TaxTotal
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class Share:
    """What one payer is to pay of a paper, by when, and how it comes about."""

    customer_id: int | None
    share_minor: int
    due_on: date
    words: str = ""


@dataclass(frozen=True, slots=True)
class PaperDraft:
    """All of a paper but its number. Net, tax and gross are the sums of `taxes`."""

    kind: str
    job: Job
    supply_on: date
    lines: Sequence[BillLine]
    taxes: Sequence[TaxTotal]
    shares: Sequence[Share]
    frozen: Mapping[str, Any]
    credits_id: int | None = None
    corrects_id: int | None = None
    reason: str = ""

    @property
    def series(self) -> Series:
        """The series that its number is drawn from."""
        return Series.CREDIT if self.kind == "credit" else Series.INVOICE


def write_paper(act: Act, draft: PaperDraft) -> Invoice:
    """Draw the next number of the paper's series and write all of it; RuleBroken into a closed month."""
    today = act.day
    refuse_closed(act.session, today)
    net = sum(row.basis_minor for row in draft.taxes)
    tax = sum(row.tax_minor for row in draft.taxes)
    invoice = Invoice(
        series=draft.series,
        number=next_number(act.session, draft.series),
        kind=draft.kind,
        job_id=draft.job.id,
        customer_id=draft.job.customer_id,
        credits_id=draft.credits_id,
        corrects_id=draft.corrects_id,
        issued_at=act.moment,
        issued_on=today,
        supply_on=draft.supply_on,
        due_on=max((share.due_on for share in draft.shares), default=today),
        net_minor=net,
        tax_minor=tax,
        gross_minor=net + tax,
        frozen=dict(draft.frozen),
        reason=draft.reason.strip()[:200],
        person_id=act.actor.person_id,
    )
    act.session.add(invoice)
    # The paper before its rows, which carry its key.
    act.session.flush()
    _write_rows(act.session, invoice, draft)
    return invoice


def _write_rows(session: Session, invoice: Invoice, draft: PaperDraft) -> None:
    for line in draft.lines:
        session.add(
            InvoiceLine(
                invoice_id=invoice.id,
                group_title=line.title,
                kind=line.kind,
                words=line.words,
                net_minor=line.net_minor,
                tax_code=line.tax_code,
                line_key=line.key or None,
                item_key=line.item or None,
                minutes=line.minutes,
            )
        )
    for total in draft.taxes:
        session.add(
            InvoiceTax(
                invoice_id=invoice.id,
                code=total.rate.code,
                name=total.rate.name,
                rate_thousandths=total.rate.rate_thousandths,
                basis_minor=total.basis_minor,
                tax_minor=total.tax_minor,
            )
        )
    for share in draft.shares:
        session.add(
            InvoicePayer(
                invoice_id=invoice.id,
                customer_id=share.customer_id,
                share_minor=share.share_minor,
                due_on=share.due_on,
                words=share.words[:200],
            )
        )
    session.flush()


def supply_day(session: Session, now: datetime, job: Job, supply_on: date | None) -> date:
    """The day of supply: as told, else the day the car was ready, else today; it may lie in a closed month.

    Work that was agreed after an invoice of a ready car was done after that: today.

    RuleBroken for a day after today or before the job was opened.
    """
    today = day_of(session, now)
    if supply_on is None:
        written = find_live_invoice(session, job.id)
        is_later = written is not None and job.ready_at is not None and written.issued_at >= job.ready_at
        ready = day_of(session, job.ready_at) if job.ready_at and not is_later else today
        return min(ready, today)
    if supply_on > today:
        raise RuleBroken("The work cannot be finished after today. Choose today or an earlier day.", "supply_on")
    if supply_on < job.opened_on:
        raise RuleBroken("That is before the job was opened. Choose a later day.", "supply_on")
    return supply_on


def refuse_sample(job: Job) -> None:
    """RuleBroken for the sample job: numbers of papers and receipts are for real work."""
    if job.is_sample:
        raise RuleBroken("This is a sample job for trying things out. It cannot be invoiced or paid.")


def want_confirmed(day: BillingDay) -> None:
    """RuleBroken while the shop has not set its tax, or not said that the guessed rates are right."""
    if day.rates == (NOT_SET,):
        raise RuleBroken(TAX_FIRST, "tax_rate")
    if day.unconfirmed:
        raise RuleBroken("Confirm your tax rates first.", "is_confirmed")

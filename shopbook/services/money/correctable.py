"""An issued invoice as it can be corrected: its lines by item, its payers, what was paid of it and by whom."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import agreed_work
from shopbook.queries.money.invoices import (
    PayerStanding,
    bill_of,
    credits_of,
    get_invoice,
    issued_line,
    list_credits,
    payer_standings,
)
from shopbook.queries.money.issued import matched_keys
from shopbook.services.money.deposits import Deposits, standing_deposits
from shopbook.trade.billing import Bill, BillLine, Credit, LineKind, credit_rest
from shopbook.trade.billing.corrections import amounts_shown, before_deposits
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import RuleBroken

ORDER = "Your order"
"""The fact that names a customer's order number."""


@dataclass(frozen=True, slots=True)
class PrintedItem:
    """One item as it is printed, and the places of its lines in the bill."""

    title: str
    below: str
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PaidPart:
    """What of one payment (or difference) is set against the invoice for one payer; above zero."""

    payment: Payment
    customer_id: int | None
    amount_minor: int

    @property
    def is_money(self) -> bool:
        """Whether it is money; a rounding or a write-off is none."""
        return self.payment.series == Series.RECEIPT


@dataclass(frozen=True, slots=True)
class Correctable:
    """What stands of an invoice. `bill` is without its deposits, `amounts` are its lines as a person is shown them:
    with tax where `includes_tax`; `credit` takes back all that is left."""

    invoice: Invoice
    job: Job
    bill: Bill
    includes_tax: bool
    deposits: Deposits
    deposit_lines: tuple[BillLine, ...]
    items: tuple[PrintedItem, ...]
    rows: tuple[PayerStanding, ...]
    paid: tuple[PaidPart, ...]
    credit: Credit

    @property
    def amounts(self) -> list[int]:
        return amounts_shown(self.bill, includes_tax=self.includes_tax)

    @property
    def order(self) -> str:
        """The order number printed on it."""
        return next((value for word, value in self.invoice.frozen["facts"] if word == ORDER), "")


def read_correctable(session: Session, invoice_id: int) -> Correctable:
    """An invoice of the book, as it stands. RuleBroken for another kind of paper, or one that is credited whole."""
    invoice = get_invoice(session, invoice_id)
    if invoice.kind != "invoice":
        raise RuleBroken("Only an invoice can be corrected this way.")
    job, bill = get_job_by_id(session, invoice.job_id), bill_of(invoice)
    credit = credit_rest(bill, credits_of(bill, list_credits(session, invoice.id)))
    lines = _lines_left(session, invoice, credit)
    off = tuple(line for line in lines if line.kind is LineKind.DEPOSIT)
    deposits = standing_deposits(session, job.id) if off else []
    found = before_deposits(lines, credit.taxes, [row for _, rows in deposits for row in rows])
    work = agreed_work(session, [job.id])[job.id]
    return Correctable(
        invoice=invoice,
        job=job,
        bill=found,
        includes_tax=any(row.quote.has_tax_inside for row in work.quotes),
        deposits=deposits,
        deposit_lines=_whole(off, deposits),
        items=_items(invoice, found.lines),
        rows=tuple(payer_standings(session, [invoice.id])[invoice.id]),
        paid=_paid(session, invoice.id),
        credit=credit,
    )


def _lines_left(session: Session, invoice: Invoice, credit: Credit) -> list[BillLine]:
    """The lines at what credit notes left of them, with the keys that a person gave those from before keys."""
    matched = matched_keys(session, [invoice.id]) if any(row.line_key is None for row in invoice.lines) else {}
    return [
        replace(line, amount_minor=net, net_minor=net, key=line.key or matched.get(row.id, 0))
        for row, line, net in zip(invoice.lines, map(issued_line, invoice.lines), credit.line_nets, strict=True)
    ]


def _whole(lines: Sequence[BillLine], deposits: Deposits) -> tuple[BillLine, ...]:
    """The lines that take the deposits off, each at the whole of its deposit."""
    nets = [row.basis_minor for _, rows in deposits for row in rows]
    if len(nets) != len(lines):
        return tuple(lines)
    return tuple(replace(line, amount_minor=-net, net_minor=-net) for line, net in zip(lines, nets, strict=True))


def _items(invoice: Invoice, lines: Sequence[BillLine]) -> tuple[PrintedItem, ...]:
    """The items in the order of their lines; the words below come from the paper, where it has the same items."""
    places: dict[tuple[int, str], list[int]] = {}
    for place, line in enumerate(lines):
        places.setdefault((line.item, line.title or line.words), []).append(place)
    printed = {row["title"]: row["below"] for row in invoice.frozen["groups"]}
    return tuple(PrintedItem(title, printed.get(title, ""), tuple(own)) for (_, title), own in places.items())


def _paid(session: Session, invoice_id: int) -> tuple[PaidPart, ...]:
    """The oldest money first, then what was rounded, then what was written off."""
    asked = (
        select(Payment, Allocation.customer_id, func.sum(Allocation.amount_minor))
        .join(Payment, Payment.id == Allocation.payment_id)
        .where(Allocation.invoice_id == invoice_id)
        .group_by(Payment.id, Allocation.customer_id)
    )
    rows = [PaidPart(payment, who, int(amount)) for payment, who, amount in session.execute(asked) if amount]
    order = {"rounding": 1, "written_off": 2}
    return tuple(sorted(rows, key=lambda row: (order.get(row.payment.kind, 0), row.payment.on, row.payment.id)))

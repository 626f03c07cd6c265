"""Money: what was set against which paper, what went back, what receipts say, and jobs that are settled."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Text, func, select, type_coerce
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, InvoicePayer, Payment, Receipt
from shopbook.queries.money.payments import PREPAID
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, read_json, sums_by_first
from shopbook.queries.reports.proofs.invoices import paper_name

_AT_ONCE = 500


def _used(session: Session) -> dict[int, int]:
    return sums_by_first(session, select(Allocation.payment_id, func.sum(Allocation.amount_minor)))


def _gone(session: Session) -> dict[int, int]:
    """What later lines took of each payment, below zero; a refund that was taken back gives it its money again."""
    asked = select(Payment.id, Payment.reverses_id, Payment.amount_minor).where(Payment.reverses_id.is_not(None))
    gone: dict[int, int] = defaultdict(int)
    for key, named, amount in session.execute(asked.order_by(Payment.id.desc())):
        gone[named or 0] += amount + (gone[key] if amount < 0 else 0)
    return gone


def _payments_are_set_once(session: Session) -> Iterator[Fault | None]:
    """What a payment was set against is never more than came in, counting what was taken back."""
    used = _used(session)
    for key, number, amount in session.execute(select(Payment.id, Payment.number, Payment.amount_minor)):
        spent = used.get(key, 0)
        said = f"Payment {number}: {spent} of {amount} is applied to invoices"
        yield fault_of("payment", key, said, holds=min(0, amount) <= spent <= max(0, amount))


def _what_went_back_is_not_used(session: Session) -> Iterator[Fault | None]:
    """What a payment was set against and what of it was refunded or reversed is never more than came in."""
    used, gone = _used(session), _gone(session)
    asked = select(Payment.id, Payment.number, Payment.amount_minor)
    for key, number, amount in session.execute(asked.where(Payment.id.in_(_TAKEN)).order_by(Payment.id)):
        left = amount + gone[key] - used.get(key, 0)
        over = left if amount < 0 else -left
        said = f"Payment {number}: {over} more went back than was left of it"
        yield fault_of("payment", key, said, holds=over <= 0)


_TAKEN = select(Payment.reverses_id).where(Payment.reverses_id.is_not(None))


def _paid_and_owed_are_invoiced(session: Session) -> Iterator[Fault | None]:
    """An invoice with its credits and what was paid leaves something owed, or nothing; never less than nothing."""
    for row in _open_papers(session):
        said = f"{row.name}: paid or credited {-row.owed_minor} more than was invoiced"
        yield fault_of("invoice", row.id, said, holds=row.owed_minor >= 0)


class _Paper:
    """One invoice and what is owed on it: its total, what was credited of it, and what was set against it."""

    def __init__(self, row: tuple[int, int, str, int, int], credited: dict[int, int], paid: dict[int, int]) -> None:
        self.id, self.job_id, kind, number, gross = row
        self.name = paper_name(kind, number)
        self.owed_minor = gross + credited.get(self.id, 0) - paid.get(self.id, 0)


def _open_papers(session: Session) -> Iterator[_Paper]:
    paid = sums_by_first(session, select(Allocation.invoice_id, func.sum(Allocation.amount_minor)))
    of_credits = select(Invoice.credits_id, func.sum(Invoice.gross_minor)).where(Invoice.credits_id.is_not(None))
    credited = sums_by_first(session, of_credits)
    asked = select(Invoice.id, Invoice.job_id, Invoice.kind, Invoice.number, Invoice.gross_minor)
    for key, job_id, kind, number, gross in session.execute(asked.where(Invoice.credits_id.is_(None))):
        yield _Paper((key, job_id, kind, number, gross), credited, paid)


def _shares_are_not_overpaid(session: Session) -> Iterator[Fault | None]:
    """No payer has more set against a paper than its share of it, less what was credited."""
    shares: dict[tuple[int, int | None], int] = defaultdict(int)
    paper = func.coalesce(Invoice.credits_id, Invoice.id)
    asked = select(paper, InvoicePayer.customer_id, func.sum(InvoicePayer.share_minor)).join(
        Invoice, Invoice.id == InvoicePayer.invoice_id
    )
    for invoice_id, customer_id, share in session.execute(asked.group_by(paper, InvoicePayer.customer_id)):
        shares[invoice_id, customer_id] = int(share)
    against = select(Allocation.invoice_id, Allocation.customer_id, func.sum(Allocation.amount_minor))
    for invoice_id, customer_id, paid in session.execute(against.group_by(*against.selected_columns[:2])):
        share = shares[invoice_id, customer_id]
        said = f"Invoice {invoice_id}: customer {customer_id or 'unnamed'} has {paid} set against a share of {share}"
        yield fault_of("invoice", invoice_id, said, holds=int(paid) <= share)


def _settled_owe_nothing(session: Session) -> Iterator[Fault | None]:
    """On a settled job nothing is owed on any paper, and no money of the customer is set against nothing."""
    settled = {key: number for key, number in session.execute(_SETTLED)}
    owed: dict[int, int] = defaultdict(int)
    for paper in _open_papers(session):
        if paper.job_id in settled:
            owed[paper.job_id] += max(paper.owed_minor, 0)
    used, gone = _used(session), _gone(session)
    asked = select(Payment.id, Payment.job_id, Payment.amount_minor).where(
        Payment.amount_minor > 0,
        Payment.kind.in_((*PREPAID, "security")),
        Payment.job_id.in_(select(Job.id).where(Job.settled_at.is_not(None))),
    )
    free: dict[int | None, int] = defaultdict(int)
    for key, job_id, amount in session.execute(asked):
        free[job_id] += max(amount - used.get(key, 0) + gone.get(key, 0), 0)
    for job_id, number in settled.items():
        said = f"Job {number} is settled, but {owed[job_id]} is owed and {free[job_id]} is unused credit"
        yield fault_of("job", job_id, said, holds=owed[job_id] == 0 == free[job_id])


_SETTLED = select(Job.id, Job.number).where(Job.settled_at.is_not(None)).order_by(Job.id)


def _receipts_say_the_money(session: Session) -> Iterator[Fault | None]:
    """A receipt's rows come to the money that was taken or given back, and so does its last line."""
    asked = select(Receipt.id, type_coerce(Receipt.content, Text), Payment.amount_minor).join(
        Payment, Payment.id == Receipt.payment_id
    )
    rows = session.execute(asked.order_by(Receipt.id), execution_options={"yield_per": _AT_ONCE})
    for key, text, amount in rows:
        printed = _printed(read_json(text))
        said = f"Receipt {key} says {printed}, its payment is {amount}"
        yield fault_of("receipt", key, said, holds=printed in (None, (amount, amount)))


def _printed(content: Any) -> tuple[int, int] | str | None:
    """What a receipt's rows come to, and its last line; None where an upgrade knew neither."""
    if not isinstance(content, dict):
        return "nothing that reads"
    rows, last = content.get("rows"), content.get("last")
    return (sum(row[1] for row in rows), last[1]) if rows and last else None


CLAIMS = (
    Claim("payments", "no payment is applied for more than its amount", _payments_are_set_once),
    Claim("taken_back", "no payment goes back for more than is left of it", _what_went_back_is_not_used),
    Claim("paid", "paid plus owed equals invoiced", _paid_and_owed_are_invoiced),
    Claim("shares", "no payer has paid more of an invoice than its share", _shares_are_not_overpaid),
    Claim("settled", "on a settled job nothing is owed and no money is unused", _settled_owe_nothing),
    Claim("receipts", "a receipt says the money that was taken", _receipts_say_the_money),
)

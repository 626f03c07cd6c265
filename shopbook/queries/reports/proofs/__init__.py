"""The proof of the whole book: figures kept for speed and totals as issued, recomputed from the lines under them."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceLine, LineMatch
from shopbook.queries.reports.proofs import clocks, invoices, months, payments, quotes, shelf, whole
from shopbook.queries.reports.proofs.faults import Claim, Fault, Proof, fault_of, prove

__all__ = ["Claim", "Fault", "Proof", "count_before_keys", "fault_of", "list_proofs", "prove", "try_claim"]

CLAIMS = (
    *whole.CLAIMS,
    *shelf.CLAIMS,
    *clocks.CLAIMS,
    *quotes.CLAIMS,
    *invoices.CLAIMS,
    *payments.CLAIMS,
    *months.CLAIMS,
    *whole.LAST_CLAIMS,
)
"""In the order in which they are tried and said."""


def list_proofs(session: Session) -> list[Proof]:
    """Every claim tried; each with a number of statements that does not depend on the number of rows."""
    return [claim.try_on(session) for claim in CLAIMS]


def try_claim(session: Session, code: str) -> Proof:
    """One of them, by its code; StopIteration for none."""
    return next(claim for claim in CLAIMS if claim.code == code).try_on(session)


def count_before_keys(session: Session) -> int:
    """Issued lines (deposits aside) that no key ties to a quoted line: from before keys, and matched by nobody yet."""
    matched = select(LineMatch.invoice_line_id)
    asked = select(func.count(InvoiceLine.id)).where(
        InvoiceLine.line_key.is_(None), InvoiceLine.kind != "deposit", InvoiceLine.id.not_in(matched)
    )
    papers = select(Invoice.id).where(Invoice.kind == "invoice")
    return session.scalar(asked.where(InvoiceLine.invoice_id.in_(papers))) or 0

"""What is read of the money ledgers to tax a span by money received: payments that moved in it, with all their past."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select, union
from sqlalchemy.orm import Session, aliased

from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.queries.money.payments import list_back, money_of
from shopbook.trade.results.month import TaxRow
from shopbook.trade.results.tax_received import MoneyBack, MoneySet, Received, RowsCredited, Step, tax_received


@dataclass(frozen=True, slots=True)
class PaperName:
    """What a paper is called, and when it was issued."""

    kind: str
    number: int
    issued_on: date


@dataclass(frozen=True, slots=True)
class MoneyBook:
    """Papers by id, credit notes by id with the paper that each is against, and every step of their money."""

    papers: Mapping[int, PaperName]
    credits: Mapping[int, Invoice]
    steps: tuple[Step, ...]
    payments: frozenset[int]

    def replay(
        self, papers: Mapping[int, tuple[TaxRow, ...]], rows: Mapping[int, tuple[TaxRow, ...]]
    ) -> list[Received]:
        """What counts when of these papers; `rows` are those of the credit notes."""
        notes = [
            RowsCredited(note.credits_id, note.issued_at, rows.get(note.id, ()))
            for note in self.credits.values()
            if note.credits_id is not None and note.credits_id in papers
        ]
        found = tax_received(papers, [*self.steps, *notes])
        return [row for row in found if row.payment_id in self.payments]


def read_received(session: Session, first: date, last: date, until: date | None) -> MoneyBook:
    """The money of the payments that something of was set against a paper, taken off or given back in the span.

    Their papers are read whole, with everything else that was paid of them: a part of a paper is what all parts so far
    come to, less what the earlier ones came to. Six statements.
    """
    payments = _touched(session, first, last, until)
    own = select(Allocation.invoice_id).where(Allocation.payment_id.in_(payments))
    sets = session.execute(
        select(Allocation, Payment.on)
        .join(Payment, Payment.id == Allocation.payment_id)
        .where(Allocation.invoice_id.in_(own), Payment.series == "receipt")
        .order_by(Allocation.id)
    )
    steps: list[Step] = [
        MoneySet(row.payment_id, row.invoice_id, row.amount_minor, row.on, row.at, came_on) for row, came_on in sets
    ]
    steps += [
        MoneyBack(payment_id, -row.amount_minor, row.on, row.at) for payment_id, row in list_back(session, payments)
    ]
    papers = session.scalars(select(Invoice).where(Invoice.id.in_(own)))
    notes = session.scalars(select(Invoice).where(Invoice.credits_id.in_(own)))
    return MoneyBook(
        {row.id: PaperName(row.kind, row.number, row.issued_on) for row in papers},
        {note.id: note for note in notes},
        tuple(steps),
        frozenset(payments),
    )


def _touched(session: Session, first: date, last: date, until: date | None) -> list[int]:
    """Payments that can count in the span: no part of one counts later than it was set, nor before it came."""
    moved = select(Allocation.payment_id).join(Payment, Payment.id == Allocation.payment_id)
    moved = moved.where(Allocation.on >= first, Payment.on <= last, Payment.series == "receipt")
    if until is not None:
        moved = moved.where(Allocation.on <= until)
    named = aliased(Payment)
    back = (
        select(money_of(Payment, named))
        .select_from(Payment)
        .join(named, named.id == Payment.reverses_id)
        .where(Payment.on.between(first, last))
    )
    return [key for key in session.scalars(union(moved, back)) if key is not None]

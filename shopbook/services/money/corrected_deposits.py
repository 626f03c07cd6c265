"""A right price below the deposit that was taken: so much of the deposit is credited that it comes to the price.

800.00 + 160.00 were invoiced less a deposit of 200.00 + 40.00; the right price is 100.00 + 20.00. The deposit invoice
stands at 100.00 + 20.00: a credit note against it takes 100.00 + 20.00 back, the corrected invoice takes the rest of it
off and comes to nothing, and 120.00 of the deposit is over: given back, or kept as credit.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.money import Invoice
from shopbook.queries.money.invoices import bill_of, credits_of, list_credits
from shopbook.queries.money.payments import FreePayment, list_invoice_payments
from shopbook.services.act import Act
from shopbook.services.money.allocations import free_surplus
from shopbook.services.money.correctable import Correctable
from shopbook.services.money.credits import draft_credit
from shopbook.services.money.issuing import PaperDraft, write_paper
from shopbook.services.postings import write_log
from shopbook.trade.billing import TaxTotal, credit_amount


@dataclass(frozen=True, slots=True)
class Cut:
    """What is credited of one deposit invoice, by kind of tax, with the credit note as it would be issued."""

    deposit: Invoice
    note: PaperDraft
    left: tuple[TaxTotal, ...]
    freed: tuple[FreePayment, ...]
    """What comes free of which payment, the newest first."""

    @property
    def gross_minor(self) -> int:
        """What comes free of the deposit; above zero."""
        return -sum(row.gross_minor for row in self.note.taxes)


def cut_deposits(
    session: Session, today: date, first: Correctable, to_credit: Sequence[TaxTotal], reason: str
) -> list[Cut]:
    """What is to be credited of the deposits, the newest first; each deposit once. Writes nothing."""
    cuts: dict[int, Cut] = {}
    for total in to_credit:
        left = total.gross_minor
        for deposit, rows in reversed(first.deposits):
            part = min(left, sum(row.gross_minor for row in rows if row.rate.code == total.rate.code))
            if part > 0 and deposit.id not in cuts:
                cuts[deposit.id] = _cut(session, today, first, deposit, rows, part, reason)
                left -= part
    return list(cuts.values())


def _cut(
    session: Session,
    today: date,
    first: Correctable,
    deposit: Invoice,
    rows: Sequence[TaxTotal],
    part_minor: int,
    reason: str,
) -> Cut:
    bill = bill_of(deposit)
    credit = credit_amount(bill, part_minor, credits_of(bill, list_credits(session, deposit.id)))
    note = draft_credit(session, today, first.job, deposit, credit, reason)
    left = [sum((-gone for gone in credit.taxes if gone.rate.code == row.rate.code), row) for row in rows]
    return Cut(deposit, note, tuple(left), tuple(_freed(session, deposit, part_minor)))


def _freed(session: Session, deposit: Invoice, part_minor: int) -> Iterator[FreePayment]:
    left = part_minor
    for payment, amount in reversed(list_invoice_payments(session, deposit.id)):
        if min(left, amount) > 0:
            yield FreePayment(payment, min(left, amount))
            left -= min(left, amount)


def with_less_off(first: Correctable, cuts: Sequence[Cut]) -> Correctable:
    """The invoice with what the cuts leave of its deposits; a deposit credited whole is on it no more."""
    left = {cut.deposit.id: cut.left for cut in cuts}
    deposits = [(paper, list(left.get(paper.id, rows))) for paper, rows in first.deposits]
    nets = [row.basis_minor for _, rows in deposits for row in rows]
    lines = [
        replace(line, amount_minor=-net, net_minor=-net)
        for line, net in zip(first.deposit_lines, nets, strict=True)
        if net
    ]
    standing = [(paper, rows) for paper, rows in deposits if any(row.gross_minor for row in rows)]
    return replace(first, deposits=standing, deposit_lines=tuple(lines))


def issue_cuts(act: Act, cuts: Sequence[Cut]) -> None:
    """A part of an act: issue the credit notes, and free what they take of the deposits."""
    for cut in cuts:
        note = write_paper(act, cut.note)
        free_surplus(act, cut.deposit.id)
        words = f"Credited deposit invoice {cut.deposit.number} with credit note {note.number}"
        write_log(act, "credit_invoice", "invoice", note.id, words, job_id=cut.deposit.job_id)

"""A payer's approval of what an invoice asks beyond its approvals of the quotes is kept with that invoice."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbook.models.money import Invoice, InvoiceApproval
from shopbook.queries.money.whose import NamedSum
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class ApprovalSaid:
    """An approval as typed: who gave it, how, in which words."""

    said_by: str
    means: str
    words: str = ""


def keep_approvals(
    act: Act,
    invoice: Invoice,
    kind: str,
    passed: Sequence[NamedSum],
    said: Mapping[int | None, ApprovalSaid],
) -> None:
    """A part of an act: one line for each payer that the invoice bills past its approval.

    `kind` is "price" or "rest". RuleBroken (approvals) while one of them is not said, or not how.
    """
    for row in passed:
        given = said.get(row.payer.customer_id)
        if given is None or not given.said_by.strip() or not given.means:
            amount = get_wording(act.session).money(row.amount_minor)
            raise RuleBroken(f"Say who approved {amount} more for {row.payer.name}, and how.", "approvals")
        act.session.add(
            InvoiceApproval(
                invoice_id=invoice.id,
                customer_id=row.payer.customer_id,
                kind=kind,
                amount_minor=row.amount_minor,
                means=ApprovalMeans(given.means),
                said_by=given.said_by.strip()[:200],
                words=given.words.strip(),
                at=act.moment,
                on=act.day,
                person_id=act.actor.person_id,
            )
        )
    act.session.flush()

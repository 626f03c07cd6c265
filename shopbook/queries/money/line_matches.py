"""Invoice lines from before keys: which they are, and which agreed lines a person may say they bill."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceLine
from shopbook.queries.money.billable import AgreedWork, BillingDay, asked_of
from shopbook.queries.money.invoices import issued_line
from shopbook.queries.money.issued import matched_keys
from shopbook.trade.billing import BillLine, LineKind


@dataclass(frozen=True, slots=True)
class KeylessLine:
    """An issued line without a key of its own, its net in minor units, and the key a person gave it (0: none yet)."""

    line_id: int
    invoice_number: int
    words: str
    net_minor: int
    key: int


def list_keyless_lines(session: Session, papers: Sequence[Invoice]) -> list[KeylessLine]:
    """The lines of these invoices that were issued before lines had keys, in their order; deposits have none ever."""
    numbers = {paper.id: paper.number for paper in papers}
    asked = select(InvoiceLine).where(
        InvoiceLine.invoice_id.in_(numbers), InvoiceLine.line_key.is_(None), InvoiceLine.kind != LineKind.DEPOSIT
    )
    rows = session.scalars(asked.order_by(InvoiceLine.id)).all()
    matched = matched_keys(session, list(numbers)) if rows else {}
    return [
        KeylessLine(row.id, numbers[row.invoice_id], issued_line(row).titled, row.net_minor, matched.get(row.id, 0))
        for row in rows
    ]


def list_agreed_lines(work: AgreedWork, day: BillingDay) -> list[BillLine]:
    """The agreed lines by key, in the order in which they are billed; a discount over two kinds of tax is one."""
    found: dict[int, BillLine] = {}
    for line in asked_of(work, day).lines:
        before = found[line.key].net_minor if line.key in found else 0
        found[line.key] = replace(line, net_minor=before + line.net_minor)
    return list(found.values())

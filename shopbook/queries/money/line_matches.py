"""Invoice lines from before keys: which they are, and which agreed lines a person may say they bill."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceLine
from shopbook.queries.money.billable import AgreedWork, BillingDay, asked_of
from shopbook.queries.money.issued import matched_keys
from shopbook.trade.billing import LineKind


@dataclass(frozen=True, slots=True)
class KeylessLine:
    """An issued line without a key of its own, its net in minor units, and the key a person gave it (0: none yet)."""

    line_id: int
    invoice_number: int
    words: str
    net_minor: int
    key: int


@dataclass(frozen=True, slots=True)
class AgreedLine:
    """What one key stands for among the agreed lines: its words, and its net in minor units."""

    key: int
    words: str
    net_minor: int


def list_keyless_lines(session: Session, papers: Sequence[Invoice]) -> list[KeylessLine]:
    """The lines of these invoices that were issued before lines had keys, in their order; deposits have none ever."""
    numbers = {paper.id: paper.number for paper in papers}
    asked = select(InvoiceLine).where(
        InvoiceLine.invoice_id.in_(numbers), InvoiceLine.line_key.is_(None), InvoiceLine.kind != LineKind.DEPOSIT
    )
    rows = session.scalars(asked.order_by(InvoiceLine.id)).all()
    matched = matched_keys(session, list(numbers)) if rows else {}
    return [
        KeylessLine(
            row.id, numbers[row.invoice_id], _words(row.group_title, row.words), row.net_minor, matched.get(row.id, 0)
        )
        for row in rows
    ]


def list_agreed_lines(session: Session, work: AgreedWork, day: BillingDay) -> list[AgreedLine]:
    """The agreed lines by key, in the order in which they are billed; a discount over two kinds of tax is one."""
    found: dict[int, AgreedLine] = {}
    for line in asked_of(session, work, day).lines:
        before = found[line.key].net_minor if line.key in found else 0
        found[line.key] = AgreedLine(line.key, _words(line.title, line.words), before + line.net_minor)
    return list(found.values())


def _words(title: str, words: str) -> str:
    return f"{title}: {words}" if title else words

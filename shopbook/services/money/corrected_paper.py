"""The corrected invoice as it would be issued: the first one's words, put right where a person typed others."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.queries.customers import name_on_papers
from shopbook.queries.money.passing import Approved
from shopbook.queries.money.words import Wording, get_wording
from shopbook.services.money.correctable import ORDER, Correctable
from shopbook.services.money.drafts import AGAIN_WORDS, EARLIER_RULE_WORDS, ONLY_TAX_INVOICE, RULE_WORDS
from shopbook.services.money.frozen import freeze_item, tax_notes
from shopbook.services.money.further import SHARED_ENDS, further_notes
from shopbook.services.money.issuing import PaperDraft, Share
from shopbook.trade.billing import BillLine
from shopbook.trade.billing.deposits import FinalBill
from shopbook.trade.errors import RuleBroken

REPLACES = "Replaces"
"""The fact that names the invoice in whose place a corrected one stands."""


@dataclass(frozen=True, slots=True)
class Right:
    """What is right, as typed; what is left out stays as it was.

    `amounts` by place of the line (with tax where the invoice's prices are), `items` by place of the item: title and
    the words below it; `payers` by place: the name as printed, with its reference.
    """

    reason: str
    amounts: Mapping[int, int] = field(default_factory=dict)
    items: Mapping[int, tuple[str, str]] = field(default_factory=dict)
    to: str | None = None
    to_lines: Sequence[str] | None = None
    order: str | None = None
    payers: Mapping[int, str] = field(default_factory=dict)


def draft_corrected(
    session: Session,
    today: date,
    first: Correctable,
    final: FinalBill,
    shares: Sequence[Share],
    paid: Mapping[int | None, int],
    right: Right,
    approved: Approved,
) -> PaperDraft:
    """The corrected invoice, dated today, naming the first; it prints the first one's day of supply."""
    if not right.reason.strip():
        raise RuleBroken("Enter a reason. It is printed on both papers.", "reason")
    said, kept = get_wording(session), first.invoice.frozen
    lines, groups = _items(first, final, right)
    frozen = kept | {
        "to": kept["to"] if right.to is None else _named(right.to),
        "to_lines": kept["to_lines"] if right.to_lines is None else [line for line in right.to_lines if line.strip()],
        "facts": _facts(first, right, said),
        "groups": groups,
        "payers": _payers(session, first, shares, paid, right, said),
        "notes": _notes(first, final, approved, len(shares), said),
    }
    return PaperDraft(
        "invoice",
        first.job,
        today,
        lines,
        final.rest,
        shares,
        frozen,
        corrects_id=first.invoice.id,
        reason=right.reason.strip()[:200],
    )


def _named(name: str) -> str:
    if not name.strip():
        raise RuleBroken("Enter the name printed on the invoice.", "to")
    return name.strip()


def _items(first: Correctable, final: FinalBill, right: Right) -> tuple[list[BillLine], list[dict[str, Any]]]:
    """The lines in their order with the words put right, and the items as they are printed."""
    lines: dict[int, BillLine] = {}
    groups = []
    for place, item in enumerate(first.items):
        title, below = right.items.get(place, (item.title, item.below))
        title = title.strip() or item.title
        own = {at: _titled(final.bill.lines[at], title) for at in item.places if final.bill.lines[at].net_minor}
        lines |= own
        if own:
            groups.append(freeze_item(title, below.strip(), list(own.values())))
    groups += [freeze_item(line.words, "", [line]) for line in first.deposit_lines]
    return [*(lines[place] for place in sorted(lines)), *first.deposit_lines], groups


def _titled(line: BillLine, title: str) -> BillLine:
    return replace(line, title=title[:200]) if line.title else replace(line, words=title)


def _facts(first: Correctable, right: Right, said: Wording) -> list[list[str]]:
    invoice = first.invoice
    order = first.order if right.order is None else right.order.strip()
    facts = [[word, value] for word, value in invoice.frozen["facts"] if word not in {REPLACES, ORDER}]
    facts.append([REPLACES, f"invoice {said.invoice_number(invoice.number)} of {said.day(invoice.issued_on)}"])
    return [*facts, [ORDER, order]] if order else facts


def _payers(
    session: Session,
    first: Correctable,
    shares: Sequence[Share],
    paid: Mapping[int | None, int],
    right: Right,
    said: Wording,
) -> list[dict[str, Any]]:
    printed = {row["customer_id"]: row for row in first.invoice.frozen["payers"]}
    rows = []
    for place, share in enumerate(shares):
        before = printed.get(share.customer_id)
        name = right.payers.get(place, "").strip() or (before["name"] if before else _name_of(session, share))
        done = paid.get(share.customer_id, 0)
        how = _how(before["words"] if before else "", said)
        when = "" if done >= share.share_minor else f"by {said.day(share.due_on, with_weekday=True)}"
        words = ", ".join(part for part in (how, when) if part)
        rows.append({"customer_id": share.customer_id, "name": name, "words": words, "paid": done})
    return rows


def _name_of(session: Session, share: Share) -> str:
    who = session.get(Customer, share.customer_id) if share.customer_id else None
    return name_on_papers(who) if who else ""


def _how(words: str, said: Wording) -> str:
    """How the share comes about, without the day that stood behind it; as said today or before."""
    today = {said.say(how) for how in (*RULE_WORDS.values(), *AGAIN_WORDS.values())}
    known = sorted({*today, *EARLIER_RULE_WORDS}, key=len, reverse=True)
    return next((how for how in known if words.startswith(how)), "")


def _notes(first: Correctable, final: FinalBill, approved: Approved, payers: int, said: Wording) -> list[str]:
    """What is still true of the first one's notes, said anew; how it was paid stands on its payers' rows."""
    before = [paper for paper in approved.issued.papers if paper.id < first.invoice.id]
    earlier = replace(approved.issued, papers=tuple(before), shared=_shared(first, approved))
    notes = further_notes(earlier, said) + tax_notes(final.bill, approved.work, said)
    return [*notes, ONLY_TAX_INVOICE] if payers > 1 and said.book.is_tax_invoice else notes


def _shared(first: Correctable, approved: Approved) -> frozenset[int | None]:
    is_said = any(note.endswith(SHARED_ENDS) for note in first.invoice.frozen["notes"])
    return approved.issued.shared if is_said else frozenset()

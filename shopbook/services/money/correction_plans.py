"""What correcting an invoice comes to, before anything is written: both papers, money that moves, approvals passed."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.money import Payment
from shopbook.queries.money.billable import billing_day
from shopbook.queries.money.passing import list_passed, read_approved
from shopbook.queries.money.payments import list_free
from shopbook.queries.money.whose import NamedSum
from shopbook.services.money.correctable import Correctable, PaidPart, read_correctable
from shopbook.services.money.corrected_deposits import Cut, cut_deposits, with_less_off
from shopbook.services.money.corrected_paper import Right, draft_corrected
from shopbook.services.money.correction_shares import share_corrected
from shopbook.services.money.credits import draft_credit
from shopbook.services.money.drafts import final_bill
from shopbook.services.money.issuing import PaperDraft, Share
from shopbook.services.postings import number_to_come
from shopbook.trade.billing.corrections import correct_bill, keep_paid
from shopbook.trade.billing.deposits import FinalBill
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class Move:
    """What of one payment is set against the first invoice (zero: on account) and pays the corrected one."""

    part: PaidPart
    was_minor: int
    kept_minor: int

    @property
    def over_minor(self) -> int:
        """What comes free."""
        return max(0, self.was_minor - self.kept_minor)


@dataclass(frozen=True, slots=True)
class CorrectionPlan:
    """Both papers with the numbers that they would get, and what becomes of the money, payer by payer."""

    first: Correctable
    note: PaperDraft
    corrected: PaperDraft
    numbers: tuple[int, int]
    moves: tuple[Move, ...]
    passed: tuple[NamedSum, ...]
    cuts: tuple[Cut, ...] = ()
    """What is credited of deposits that come to more than the right price; numbered after the credit note."""
    freed: tuple[PaidPart, ...] = ()
    """What comes free of which deposit by the cuts; it pays what is still open first."""
    seen: str = field(default="")
    """Says which numbers and which figures a person looked at."""

    @property
    def gross_minor(self) -> int:
        return sum(row.gross_minor for row in self.corrected.taxes)

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.corrected.taxes)

    @property
    def over_minor(self) -> int:
        """Money that is over, to be given back or kept as credit."""
        return sum(amount for _, amount in self.over)

    @property
    def over(self) -> list[tuple[Payment, int]]:
        """The same by payment: what comes free of deposits and pays nothing else, then what the invoice leaves over."""
        moved = [(move.part.payment, move.over_minor) for move in reversed(self.moves) if move.part.is_money]
        used = {id(move.part): move.kept_minor for move in self.moves}
        freed = [(part.payment, part.amount_minor - used.get(id(part), 0)) for part in self.freed]
        return [(payment, amount) for payment, amount in (*freed, *moved) if amount]

    @property
    def paid_minor(self) -> int:
        """Money that pays the corrected invoice; a rounding counts, what was written off does not."""
        return sum(move.kept_minor for move in self.moves if move.part.payment.kind != "written_off")

    @property
    def open_minor(self) -> int:
        """What is still to pay of it."""
        return self.gross_minor - sum(move.kept_minor for move in self.moves)


def plan_correction(session: Session, now: datetime, today: date, invoice_id: int, right: Right) -> CorrectionPlan:
    """What would be issued now; writes nothing. RuleBroken where it cannot be, with a sentence."""
    first = read_correctable(session, invoice_id)
    final, cuts = _final(session, today, first, right)
    first = with_less_off(first, cuts) if cuts else first
    approved = read_approved(session, first.job, billing_day(session, first.invoice.supply_on))
    shares = share_corrected(session, now, today, first, final, approved)
    freed = tuple(PaidPart(row.payment, row.payment.customer_id, row.free_minor) for cut in cuts for row in cut.freed)
    moves = _moves(session, first, shares, freed)
    draft = draft_corrected(session, today, first, final, shares, _paid_by(moves), right, approved)
    note = draft_credit(session, today, first.job, first.invoice, first.credit, right.reason)
    before = {row.customer_id: row.share_minor for row in first.rows}
    added = {share.customer_id: share.share_minor - before.get(share.customer_id, 0) for share in shares}
    numbers = (number_to_come(session, note.series), number_to_come(session, draft.series))
    plan = CorrectionPlan(
        first, note, draft, numbers, tuple(moves), tuple(list_passed(session, approved, added)), cuts, freed
    )
    return replace(plan, seen=_seen(plan, today))


def _final(session: Session, today: date, first: Correctable, right: Right) -> tuple[FinalBill, tuple[Cut, ...]]:
    """The corrected bill with the deposits off, and what of them is credited where they come to more than it.

    RuleBroken where one credit note for each deposit cannot bring them down to it.
    """
    bill = correct_bill(first.bill, right.amounts, includes_tax=first.includes_tax)
    final = final_bill(bill, first.deposits)
    if not final.to_credit:
        return final, ()
    if len(first.deposit_lines) == sum(len(rows) for _, rows in first.deposits):
        cuts = cut_deposits(session, today, first, final.to_credit, right.reason)
        left = final_bill(bill, with_less_off(first, cuts).deposits)
        if not left.to_credit:
            return left, tuple(cuts)
    raise RuleBroken(
        "That is less than the deposit this invoice takes off. Credit the invoice, then credit the deposit.", "prices"
    )


def _moves(session: Session, first: Correctable, shares: Sequence[Share], freed: Sequence[PaidPart]) -> list[Move]:
    """Payer by payer: what was set against the first invoice, then money of the payer that is on account or freed."""
    free = [
        PaidPart(row.payment, row.payment.customer_id, row.free_minor)
        for row in list_free(session, job_id=first.job.id)
    ] + [*freed]
    known = {share.customer_id: share.share_minor for share in shares}
    found: list[Move] = []
    for customer_id in dict.fromkeys([*known, *(part.customer_id for part in first.paid)]):
        share = known.get(customer_id, 0)
        own = _kept([part for part in first.paid if part.customer_id == customer_id], share)
        left = share - sum(move.kept_minor for move in own)
        found += [*own, *_used(free, customer_id, left)]
    return found


def _kept(parts: Sequence[PaidPart], share_minor: int) -> list[Move]:
    kept = keep_paid(share_minor, [part.amount_minor for part in parts])
    return [Move(part, part.amount_minor, amount) for part, amount in zip(parts, kept, strict=True)]


def _used(free: Sequence[PaidPart], customer_id: int | None, left_minor: int) -> list[Move]:
    """Money of a payer that was on account and pays what is still open."""
    own = [part for part in free if part.customer_id == customer_id]
    kept = keep_paid(left_minor, [part.amount_minor for part in own])
    moves = [Move(part, 0, amount) for part, amount in zip(own, kept, strict=True)]
    return [move for move in moves if move.kept_minor]


def _paid_by(moves: Sequence[Move]) -> Mapping[int | None, int]:
    sums: dict[int | None, int] = {}
    for move in moves:
        if move.part.payment.kind != "written_off":
            sums[move.part.customer_id] = sums.get(move.part.customer_id, 0) + move.kept_minor
    return sums


def _seen(plan: CorrectionPlan, today: date) -> str:
    """The numbers, and a digest of all that both papers say and of the money that moves."""
    money = [(move.part.payment.id, move.part.customer_id, move.was_minor, move.kept_minor) for move in plan.moves]
    told = [_told(plan.note), *(_told(cut.note) for cut in plan.cuts), _told(plan.corrected), money, today]
    digest = hashlib.sha256(json.dumps(told, default=str, sort_keys=True).encode()).hexdigest()
    return f"{plan.numbers[0]}.{plan.numbers[1]}.{digest[:32]}"


def _told(draft: PaperDraft) -> list[Any]:
    lines = [(line.key, line.titled, line.net_minor, line.tax_code) for line in draft.lines]
    taxes = [(row.rate.code, row.rate.rate_thousandths, row.basis_minor, row.tax_minor) for row in draft.taxes]
    shares = [(share.customer_id, share.share_minor, share.due_on) for share in draft.shares]
    return [draft.frozen, lines, taxes, shares, draft.reason]

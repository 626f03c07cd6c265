"""Hours sold in a span: what was planned when it was approved of the items on its invoices, or billed by the hour."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import (
    Approval,
    ApprovalGroup,
    ApprovalWithdrawal,
    ApprovalWork,
    Quote,
    QuoteGroup,
    QuoteLine,
)
from shopbook.trade.agreeing.words import Party, QuoteKind
from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.pricing.keys import beyond_key, item_key
from shopbook.trade.results.hours_sold import SoldItem, hours_sold
from shopbook.trade.results.papers import BilledPaper, as_sold


@dataclass(frozen=True, slots=True)
class _Approved:
    """One approval of the work: from when until when it held, and the items that it took."""

    at: datetime
    until: datetime | None
    items: dict[int, SoldItem]


@dataclass(frozen=True, slots=True)
class HoursSold:
    """The papers of jobs that were billed in a span, and what customers approved of these jobs, by job id."""

    papers: Mapping[int, Sequence[BilledPaper]]
    approved: Mapping[int, Sequence[_Approved]]

    def minutes(self, first: date, last: date) -> dict[int, int]:
        """Man-minutes sold by the papers from `first` to `last`, days of the span, by job id.

        Below zero where a credit note took back more than was invoiced. What was issued before lines had keys is not
        known.
        """
        found = {}
        for job_id, papers in self.papers.items():
            rows = hours_sold(as_sold(papers, last), _Asked(self.approved[job_id]).item_at)
            if any(first <= day for day, _ in rows):
                found[job_id] = sum(minutes for day, minutes in rows if first <= day)
        return found


def read_hours_sold(session: Session, papers: Mapping[int, Sequence[BilledPaper]], first: date) -> HoursSold:
    """What was approved of the jobs that had an invoice or a credit note from `first` on, of papers that are read
    already; three statements."""
    own = {
        job_id: rows
        for job_id, rows in papers.items()
        if any(row.kind in {"invoice", "credit"} and first <= row.issued_on for row in rows)
    }
    return HoursSold(own, _approved(session, own))


class _Asked:
    """The approvals of one job, oldest first, as they stood at any moment."""

    def __init__(self, approvals: Iterable[_Approved]) -> None:
        self._approvals = list(approvals)

    def item_at(self, item: int, at: datetime) -> SoldItem | None:
        """An item as the newest approval had it that held at that moment."""
        rows = (row for row in reversed(self._approvals) if row.at <= at and (row.until is None or row.until > at))
        return next((row.items[item] for row in rows if item in row.items), None)


def _approved(session: Session, jobs: Collection[int]) -> dict[int, list[_Approved]]:
    """What customers approved of these jobs, oldest first, withdrawn ones with their end; three statements."""
    kept, typed = _kept_minutes(session, jobs), _typed_minutes(session, jobs)
    asked = (
        select(Approval, ApprovalWithdrawal.at, Quote, QuoteGroup)
        .join(ApprovalGroup, ApprovalGroup.approval_id == Approval.id)
        .join(QuoteGroup, QuoteGroup.id == ApprovalGroup.group_id)
        .join(Quote, Quote.id == Approval.quote_id)
        .outerjoin(ApprovalWithdrawal, ApprovalWithdrawal.approval_id == Approval.id)
        .where(Approval.job_id.in_(jobs), Approval.party == Party.CUSTOMER, ApprovalGroup.is_taken)
        .order_by(Approval.id, QuoteGroup.id)
    )
    rows: dict[int, _Approved] = {}
    found: dict[int, list[_Approved]] = defaultdict(list)
    for approval, until, quote, group in session.execute(asked):
        if approval.id not in rows:
            rows[approval.id] = _Approved(approval.at, until, _beyond(quote))
            found[approval.job_id].append(rows[approval.id])
        item, own = item_key(group.first_key), kept.get(approval.id)
        minutes = typed.get(group.id, 0) if own is None else own.get(item, 0)
        rows[approval.id].items[item] = SoldItem(minutes, _is_by_hours(quote) and group.price_minor is None)
    return found


def _is_by_hours(quote: Quote) -> bool:
    """Whether its items are billed by the hours they took, but for those whose price was typed."""
    return quote.is_estimate and quote.kind != QuoteKind.EXTRA


def _beyond(quote: Quote) -> dict[int, SoldItem]:
    """Hours above an estimate stand in items of their own."""
    if not _is_by_hours(quote):
        return {}
    return {beyond_key(quote.first_key, skill): SoldItem(0, is_by_hours=True) for skill in Skill}


def _kept_minutes(session: Session, jobs: Collection[int]) -> dict[int, dict[int, int]]:
    """The hours planned by item, by approval; without those whose plan of that day is not known."""
    found: dict[int, dict[int, int]] = defaultdict(dict)
    asked = select(ApprovalWork.approval_id, ApprovalWork.item_key, func.sum(ApprovalWork.minutes))
    asked = asked.join(Approval, Approval.id == ApprovalWork.approval_id).where(Approval.job_id.in_(jobs))
    for approval_id, item, minutes in session.execute(asked.group_by(ApprovalWork.approval_id, ApprovalWork.item_key)):
        found[approval_id][item] = int(minutes)
    return dict(found)


def _typed_minutes(session: Session, jobs: Collection[int]) -> dict[int, int]:
    """The hours of the labour lines of each group: what an item was priced by where no plan was kept with it."""
    asked = (
        select(QuoteLine.group_id, func.sum(QuoteLine.minutes))
        .join(QuoteGroup, QuoteGroup.id == QuoteLine.group_id)
        .join(Quote, Quote.id == QuoteGroup.quote_id)
        .where(Quote.job_id.in_(jobs), QuoteLine.kind == LineKind.LABOUR)
        .group_by(QuoteLine.group_id)
    )
    return {group_id: int(minutes) for group_id, minutes in session.execute(asked)}

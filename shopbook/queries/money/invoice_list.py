"""The list of invoices: who pays each paper, what is open of it and how it stands; a day's receipts."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, Payment
from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.money.invoices import PayerStanding, payer_standings
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.payers import payer_names
from shopbook.trade.measures.days import month_bounds


class PaperState(StrEnum):
    """How a paper stands. Paid is what was paid: neither a debt written off nor a credited bill."""

    OVERDUE = "overdue"
    OPEN = "open"
    PAID = "paid"
    WRITTEN_OFF = "written_off"
    CREDITED = "credited"
    CREDIT_NOTE = "credit_note"


OWING = (PaperState.OVERDUE, PaperState.OPEN)


@dataclass(frozen=True, slots=True)
class PaperRow:
    """One paper of the list: what its payers still owe, and the first day on which some of it is due."""

    invoice: Invoice
    job_number: int
    payers: tuple[tuple[int | None, str], ...]
    owed_minor: int
    due_on: date | None
    state: PaperState

    def days_late(self, day: date) -> int:
        """How many days the oldest open share is past its day; zero while none is."""
        return max(0, (day - self.due_on).days) if self.due_on and self.state in OWING else 0


def list_papers(
    session: Session, day: date, *, month: str = "", state: str = "", before: int | None = None, limit: int = 50
) -> list[PaperRow]:
    """The papers of a month, else what is open with the latest `limit`, older than `before` where that is given.

    Overdue ones first, the oldest day on top, then open ones by their day, then the others, the newest first. `state`
    keeps one state; "open" keeps what is overdue too. The number of statements does not grow with the rows.
    """
    rows = paper_rows(session, day, _asked(session, day, month, before, limit))
    wanted = OWING if state == PaperState.OPEN else tuple(PaperState) if not state else (state,)
    return sorted((row for row in rows if row.state in wanted), key=_urgency)


def _asked(session: Session, day: date, month: str, before: int | None, limit: int) -> list[Invoice]:
    asked = select(Invoice).order_by(Invoice.id.desc())
    if month:
        first, last = month_bounds(month)
        return list(session.scalars(asked.where(Invoice.issued_on.between(first, last))))
    if before is not None:
        return list(session.scalars(asked.where(Invoice.id < before).limit(limit)))
    owed = {line.invoice.id: line.invoice for line in list_owed(session, day)}
    return list(({one.id: one for one in session.scalars(asked.limit(limit))} | owed).values())


def earlier_than(session: Session, before: int | None, limit: int) -> int | None:
    """The last paper of a page of `limit` where there are earlier ones; `before` is the last of the page before it."""
    asked = select(Invoice.id).order_by(Invoice.id.desc()).offset(limit - 1).limit(2)
    found = list(session.scalars(asked if before is None else asked.where(Invoice.id < before)))
    return found[0] if len(found) == 2 else None


def paper_rows(session: Session, day: date, papers: Sequence[Invoice]) -> list[PaperRow]:
    """How each of these papers stands on a day."""
    jobs = list_jobs_by_id(session, {paper.job_id for paper in papers})
    standings = payer_standings(session, [paper.id for paper in papers if paper.kind != "credit"])
    names = payer_names(session, {row.whose_id for rows in standings.values() for row in rows if row.whose_id})
    return [_row(paper, jobs[paper.job_id].number, standings.get(paper.id, []), names, day) for paper in papers]


def _row(paper: Invoice, job: int, rows: Sequence[PayerStanding], names: dict[int, str], day: date) -> PaperRow:
    owing = [row for row in rows if row.owed_minor > 0]
    due_on = min((row.due_on for row in owing), default=None)
    return PaperRow(
        invoice=paper,
        job_number=job,
        payers=tuple((row.whose_id, names[row.whose_id]) for row in owing or rows if row.whose_id in names),
        owed_minor=sum(row.owed_minor for row in owing),
        due_on=due_on,
        state=_state(paper, rows, due_on, day),
    )


def _state(paper: Invoice, rows: Iterable[PayerStanding], due_on: date | None, day: date) -> PaperState:
    if due_on is not None:
        return PaperState.OVERDUE if due_on < day else PaperState.OPEN
    if paper.kind == "credit":
        return PaperState.CREDIT_NOTE
    if not any(row.share_minor for row in rows):
        return PaperState.CREDITED
    return PaperState.WRITTEN_OFF if any(row.written_off_minor for row in rows) else PaperState.PAID


def _urgency(row: PaperRow) -> tuple[bool, date, int]:
    return row.state not in OWING, row.due_on or date.max, -row.invoice.id


@dataclass(frozen=True, slots=True)
class Receipts:
    """What came in and went back on one day by one means, and on how many receipts."""

    means: str
    count: int
    total_minor: int


def receipts_on(session: Session, day: date) -> list[Receipts]:
    """A day's receipts by means, refunds and reversals taken off; write-offs and rounding are no money."""
    asked = select(Payment.means, func.count(), func.sum(Payment.amount_minor)).group_by(Payment.means)
    rows = session.execute(asked.where(Payment.on == day, Payment.means != "none").order_by(Payment.means))
    return [Receipts(means, count, total) for means, count, total in rows]

"""What a payer owes, as of any day, and how it came to it: the rows of the ledgers, read through merged customers."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from sqlalchemy import Select, and_, or_, select, union
from sqlalchemy.orm import Session, aliased

from shopbook.models.customers import Vehicle
from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, InvoicePayer, Payment
from shopbook.models.shop import LogLine
from shopbook.queries.customers import ids_of
from shopbook.queries.money.payers import payer_names
from shopbook.queries.money.payments import PREPAID, money_of
from shopbook.trade.billing.account import (
    REST_MOVED,
    AccountRows,
    AccountStanding,
    MoneyRow,
    Place,
    SetRow,
    ShareRow,
    Statement,
)
from shopbook.trade.billing.statements import standing_on, statement_of
from shopbook.trade.car.words import car_words


@dataclass(frozen=True, slots=True)
class PayerAccount:
    """The statement of a payer, and how others are called whose money or share stands in it."""

    statement: Statement
    names: dict[int, str]


def get_payer_account(session: Session, customer_id: int, first: date, last: date) -> PayerAccount:
    """The account of a payer over these days, both included; a fixed number of statements.

    Invoices, credit notes, rests that moved, money in and back, roundings and write-offs, each from its day. Securities
    are held and no part of the balance.
    """
    ids = list(session.scalars(ids_of([customer_id])))
    statement = statement_of(_rows(session, ids, first), first, last)
    others = {line.entry.other_id for line in statement.lines if line.entry.other_id}
    return PayerAccount(statement, payer_names(session, others))


def get_account_standing(session: Session, customer_id: int, day: date) -> AccountStanding:
    """What a payer owes at the end of a day, paper by paper, and what is held for it unused."""
    return standing_on(_rows(session, list(session.scalars(ids_of([customer_id]))), day), day)


def _rows(session: Session, ids: Sequence[int], first: date) -> AccountRows:
    """All rows that count for a day from the one before `first` on."""
    jobs = list(session.scalars(_jobs(ids, first)))
    shares = _shares(session, ids, jobs)
    money = _money(session, ids, jobs)
    return AccountRows(shares, money, _sets(session, ids, shares, money))


def _jobs(ids: Sequence[int], first: date) -> Select[Any]:
    """The jobs of which something was open before these days, or happened since.

    A job is settled while nothing is owed on it either way: one that was settled before adds nothing to any balance.
    """
    since = datetime.combine(first - timedelta(days=2), time.min, UTC)
    was_open = or_(Job.settled_at.is_(None), Job.settled_at >= since)
    papers = (
        select(Invoice.job_id)
        .join(InvoicePayer, InvoicePayer.invoice_id == Invoice.id)
        .join(Job, Job.id == Invoice.job_id)
        .where(InvoicePayer.customer_id.in_(ids), or_(was_open, Invoice.issued_on >= first))
    )
    money = (
        select(Payment.job_id)
        .join(Job, Job.id == Payment.job_id)
        .where(Payment.customer_id.in_(ids), or_(was_open, Payment.on >= first))
    )
    both = union(papers, money).subquery()
    return select(both.c.job_id)


def _shares(session: Session, ids: Sequence[int], jobs: Sequence[int]) -> list[ShareRow]:
    asked = (
        select(
            InvoicePayer.id,
            InvoicePayer.invoice_id,
            InvoicePayer.customer_id,
            InvoicePayer.share_minor,
            InvoicePayer.due_on,
            InvoicePayer.words,
            Invoice.credits_id,
            Invoice.kind,
            Invoice.number,
            Invoice.issued_on,
            Invoice.issued_at,
            Job.number.label("job_number"),
            Vehicle.year,
            Vehicle.description,
            Vehicle.colour_name,
        )
        .join(Invoice, Invoice.id == InvoicePayer.invoice_id)
        .join(Job, Job.id == Invoice.job_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(InvoicePayer.customer_id.in_(ids), Invoice.job_id.in_(jobs))
        .order_by(InvoicePayer.id)
    )
    found = session.execute(asked).all()
    moved = _moved(session, {row.invoice_id for row in found if row.words == REST_MOVED})
    return [_share(row, moved.get(row.id)) for row in found]


def _share(row: Any, moved: tuple[date, datetime] | None) -> ShareRow:  # a row of the columns above
    on, at = moved or (row.issued_on, row.issued_at)
    car = "" if row.description is None else car_words(row.year, row.description, row.colour_name)
    return ShareRow(
        place=(row.credits_id or row.invoice_id, row.customer_id),
        on=on,
        at=at,
        due_on=row.due_on,
        amount_minor=row.share_minor,
        paper_id=row.invoice_id,
        kind=REST_MOVED if moved else row.kind,
        number=row.number,
        job_number=row.job_number,
        car=car,
    )


def _moved(session: Session, paper_ids: Collection[int]) -> dict[int, tuple[date, datetime]]:
    """When rests of these papers moved, by the row: each move wrote two rows and, in the same act, a log line."""
    if not paper_ids:
        return {}
    asked = select(InvoicePayer.id, InvoicePayer.invoice_id).where(
        InvoicePayer.invoice_id.in_(paper_ids), InvoicePayer.words == REST_MOVED
    )
    logged = select(LogLine.subject_id, LogLine.on, LogLine.at).where(
        LogLine.subject == "invoice", LogLine.subject_id.in_(paper_ids), LogLine.act == "move_rest"
    )
    days: dict[int, list[tuple[date, datetime]]] = {}
    for paper_id, on, at in session.execute(logged.order_by(LogLine.id)):
        days.setdefault(paper_id or 0, []).extend([(on, at)] * 2)
    return {row_id: days[paper_id].pop(0) for row_id, paper_id in session.execute(asked.order_by(InvoicePayer.id))}


_NAMED = aliased(Payment)
_MONEY = (
    Payment.id,
    Payment.kind,
    Payment.number,
    Payment.on,
    Payment.at,
    Payment.amount_minor,
    Payment.means,
    Payment.reference,
    money_of(Payment, _NAMED),
    Payment.customer_id,
    Job.number,
)
_HEAD = len(_MONEY)


def _money(session: Session, ids: Sequence[int], jobs: Sequence[int]) -> list[MoneyRow]:
    """All money of these jobs, whosever it is: what takes back stands under the job of what it takes back of."""
    asked = select(*_MONEY).join(Job, Job.id == Payment.job_id).outerjoin(_NAMED, _NAMED.id == Payment.reverses_id)
    asked = asked.where(Payment.job_id.in_(jobs))
    return [_money_row(row, ids) for row in session.execute(asked.order_by(Payment.id))]


def _money_row(row: Any, ids: Sequence[int]) -> MoneyRow:  # a row of `_MONEY`
    key, kind, number, on, at, amount, means, reference, reverses_id, customer_id, job = row
    is_theirs = amount > 0 and customer_id in ids
    is_own, is_held = is_theirs and kind in PREPAID, is_theirs and kind == "security"
    return MoneyRow(key, kind, number, on, at, amount, means, reference, reverses_id, is_own, is_held, job)


def _sets(session: Session, ids: Sequence[int], shares: Sequence[ShareRow], money: Sequence[MoneyRow]) -> list[SetRow]:
    """What was set against the payer's shares, and what of the payer's money against anybody's."""
    since: dict[Place, date] = {}
    for share in shares:
        since.setdefault(share.place, share.on)
    own = [row.id for row in money if row.is_own]
    asked: Select[*tuple[Any, ...]] = (
        select(
            *_MONEY,
            Allocation.id,
            Allocation.invoice_id,
            Allocation.customer_id,
            Allocation.on,
            Allocation.at,
            Allocation.amount_minor,
            Invoice.kind,
            Invoice.number,
            Invoice.issued_on,
        )
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .join(Job, Job.id == Payment.job_id)
        .outerjoin(_NAMED, _NAMED.id == Payment.reverses_id)
    )
    papers = {paper_id for paper_id, _ in since}
    mine = asked.where(and_(Allocation.invoice_id.in_(papers), Allocation.customer_id.in_(ids)))
    found: dict[int, SetRow] = {}
    for statement in (mine, asked.where(Allocation.payment_id.in_(own))):
        for row in session.execute(statement):
            found[row[_HEAD]] = _set_row(row, ids, since)
    return [found[key] for key in sorted(found)]


def _set_row(row: Any, ids: Sequence[int], since: dict[Place, date]) -> SetRow:  # a row of the columns above
    head, (_, paper_id, customer_id, on, at, amount, kind, number, issued_on) = row[:_HEAD], row[_HEAD:]
    is_mine = customer_id in ids
    place = (paper_id, customer_id)
    return SetRow(
        payment=_money_row(head, ids),
        place=place,
        on=on,
        at=at,
        amount_minor=amount,
        is_mine=is_mine,
        paper=(kind, number),
        since=since.get(place, issued_on),
        other_id=head[-2] if is_mine else customer_id,
    )

"""Credits, refunds, money moved, reversals and debts written off: who did each, and why."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Select, case, exists, func, or_, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.models.shop import LogLine, Person
from shopbook.trade.billing.reversals import Reversal
from shopbook.trade.billing.taken_back import MOVED, REFUND_REVERSED
from shopbook.trade.permissions import THE_PROGRAM

_KINDS = ("refund", "written_off", *Reversal)


@dataclass(frozen=True, slots=True)
class TakenBack:
    """One of them. `amount_minor` is what was credited, given back, moved or written off, below zero where a later
    credit took a write-off back; `subject` ("invoice" or "payment") and `subject_id` are where it stands."""

    on: date
    person_id: int | None
    person: str
    kind: str
    number: int
    amount_minor: int
    reason: str
    subject: str
    subject_id: int
    job_number: int | None


def list_taken_back(session: Session, first: date, last: date) -> list[TakenBack]:
    """Those dated in these days, by person and day; three statements."""
    return _found(
        session,
        Invoice.issued_on.between(first, last),
        Payment.on.between(first, last),
        LogLine.on.between(first, last),
    )


def taken_back_by_others(session: Session, since: date, person_id: int | None) -> list[TakenBack]:
    """Those entered since a day by anybody but one person, whatever day they are dated; three statements."""
    entered = select(LogLine.subject_id).where(LogLine.on >= since, LogLine.subject == "payment")
    rows = _found(
        session,
        Invoice.issued_on >= since,
        or_(Payment.on >= since, Payment.id.in_(entered)),
        LogLine.on >= since,
    )
    return [row for row in rows if row.person_id != person_id]


def _found(
    session: Session, issued: ColumnElement[bool], paid: ColumnElement[bool], logged: ColumnElement[bool]
) -> list[TakenBack]:
    rows = [*_credits(session, issued), *_money(session, paid), *_moves(session, logged)]
    return sorted(rows, key=lambda row: (row.person, row.on, row.subject, row.subject_id))


def _credits(session: Session, condition: ColumnElement[bool]) -> Iterable[TakenBack]:
    asked = select(Invoice, Person.name, Job.number).outerjoin(Person, Person.id == Invoice.person_id)
    rows = session.execute(asked.join(Job, Job.id == Invoice.job_id).where(condition, Invoice.kind == "credit"))
    for note, name, job in rows:
        yield TakenBack(
            note.issued_on,
            note.person_id,
            name or THE_PROGRAM.name,
            note.kind,
            note.number,
            -note.gross_minor,
            note.reason,
            "invoice",
            note.id,
            job,
        )


def _money(session: Session, condition: ColumnElement[bool]) -> Iterable[TakenBack]:
    is_security = (Payment.kind == "security") & (Payment.amount_minor < 0)
    asked = select(Payment, Person.name, Job.number).outerjoin(Person, Person.id == Payment.person_id)
    asked = asked.outerjoin(Job, Job.id == Payment.job_id)
    for line, name, job in session.execute(asked.where(condition, Payment.kind.in_(_KINDS) | is_security)):
        is_refund = line.kind == Reversal.TYPED_WRONG and line.amount_minor > 0
        amount = line.amount_minor if is_refund or line.kind == "written_off" else -line.amount_minor
        yield TakenBack(
            line.on,
            line.person_id,
            name or THE_PROGRAM.name,
            REFUND_REVERSED if is_refund else line.kind,
            line.number,
            amount,
            line.reason,
            "payment",
            line.id,
            job,
        )


def _moves(session: Session, condition: ColumnElement[bool]) -> Iterable[TakenBack]:
    """What one press moved: it wrote a log line for each job that it touched and, of the same moment, allocations out
    of and into papers.

    Those of a move carry its reason; of one from before reasons were kept all of that moment count.
    """
    for line, name, payment, job, came, went, reason in session.execute(_asked_moves(condition)):
        yield TakenBack(
            line.on,
            line.person_id,
            name or THE_PROGRAM.name,
            MOVED,
            payment.number,
            max(int(came), int(went)),
            reason,
            "payment",
            payment.id,
            job,
        )


def _asked_moves(condition: ColumnElement[bool]) -> Select[LogLine, str, Payment, int, Any, Any, str]:
    came = func.sum(case((Allocation.amount_minor > 0, Allocation.amount_minor), else_=0))
    went = func.sum(case((Allocation.amount_minor < 0, -Allocation.amount_minor), else_=0))
    told = aliased(Allocation)
    moved = (Allocation.payment_id == LogLine.subject_id) & (Allocation.at == LogLine.at)
    first = aliased(LogLine)
    same = (first.act == LogLine.act, first.subject_id == LogLine.subject_id, first.at == LogLine.at)
    has_reason = exists().where(told.payment_id == LogLine.subject_id, told.at == LogLine.at, told.reason != "")
    return (
        select(LogLine, Person.name, Payment, Job.number, came, went, func.max(Allocation.reason))
        .join(Payment, Payment.id == LogLine.subject_id)
        .join(Allocation, moved)
        .outerjoin(Person, Person.id == LogLine.person_id)
        .outerjoin(Job, Job.id == Payment.job_id)
        .where(condition, LogLine.act == "move_allocation", LogLine.subject == "payment")
        .where(~exists().where(*same, first.id < LogLine.id))
        .where(or_(Allocation.reason != "", ~has_reason))
        .group_by(LogLine.id, Person.id, Payment.id, Job.id)
    )

"""What is read of some days beside the jobs: who was here, who was away, and the money that came by card."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.diary import Absence
from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.money import Payment
from shopbook.models.shop import Person
from shopbook.queries.floor.hours import HoursRead, read_hours
from shopbook.trade.billing.pay_means import MOVED_ALONG
from shopbook.trade.results.card_fees import NEVER_TAKEN, TAKEN_KINDS, PaidBy


@dataclass(frozen=True, slots=True)
class HouseRead:
    """Some days of the house, for the costs of any of them.

    `payments` are by the day they were written on, `unpaid` is (person, day, minutes away without pay), `clocked` is
    (person, day, cost of the labour on jobs).
    """

    hours: HoursRead
    payments: Sequence[tuple[date, PaidBy]]
    unpaid: Sequence[tuple[int, date, int]]
    clocked: Sequence[tuple[int, date, int]]


def read_house(
    session: Session, first: date, last: date, clocked: Sequence[tuple[int, date, int]] | None = None
) -> HouseRead:
    """The days from `first` to `last`, both included; five statements, four where it is read what was `clocked`."""
    away = select(Absence.person_id, Absence.on, Absence.minutes_away)
    unpaid = session.execute(away.where(Absence.on.between(first, last), ~Absence.is_paid))
    return HouseRead(
        read_hours(session, first, last),
        _payments(session, first, last),
        [(person_id, on, minutes) for person_id, on, minutes in unpaid],
        _clocked(session, first, last) if clocked is None else clocked,
    )


def _payments(session: Session, first: date, last: date) -> list[tuple[date, PaidBy]]:
    """Money that came over these days, and lines that say that some of it never did, with the day it was written on."""
    taken = aliased(Payment)
    rows = session.execute(
        select(Payment.kind, Payment.means, Payment.amount_minor, Payment.on, taken.on)
        .outerjoin(taken, taken.id == Payment.reverses_id)
        .where(Payment.on.between(first, last), Payment.kind.in_(TAKEN_KINDS | NEVER_TAKEN))
        .where(Payment.reason != MOVED_ALONG)
        .order_by(Payment.id)
    )
    return [
        (on, PaidBy(means, abs(amount), taken_on or on, takes_back=kind in NEVER_TAKEN))
        for kind, means, amount, on, taken_on in rows
    ]


def _clocked(session: Session, first: date, last: date) -> list[tuple[int, date, int]]:
    rows = session.execute(
        select(ClockEntry.person_id, ClockEntry.on, func.sum(ClockShare.cost_minor))
        .join(ClockShare, ClockShare.entry_id == ClockEntry.id)
        # By person first, for the index of a person's days: grouped alone, every share ever clocked is walked through.
        .where(ClockEntry.person_id.in_(select(Person.id)), ClockEntry.on.between(first, last))
        .group_by(ClockEntry.person_id, ClockEntry.on)
    )
    return [(person_id, on, int(cost)) for person_id, on, cost in rows]

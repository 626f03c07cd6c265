"""The heart: the one place that writes a stock, clock, payment or log line; refuses one dated into a closed month."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.base import Base
from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.money import Allocation, Invoice, Payment
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import LogLine, NumberCounter
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.act import Act
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import format_day
from shopbook.trade.permissions import Actor
from shopbook.trade.stock.average_cost import take_back
from shopbook.trade.stock.movements import UNDONE, MovementKind, Posting, Stock


def refuse_closed(session: Session, on: date, *, field: str | None = None) -> None:
    """RuleBroken when the day lies in a closed month."""
    through = find_closed_through(session)
    if through is not None and on <= through:
        day = format_day(through, country_of(get_book(session)).date_form, is_long=True)
        raise RuleBroken(
            f"The books are closed up to {day}. Use a later date, and note which month it belongs to.", field
        )


def write_log(
    act: Act,
    deed: str,
    subject: str,
    subject_id: int | None,
    words: str,
    *,
    job_id: int | None = None,
) -> LogLine:
    """One line of the log: what was done to what, in a sentence without a customer's name."""
    line = LogLine(
        at=act.moment,
        on=act.day,
        person_id=act.actor.person_id,
        act=deed,
        subject=subject,
        subject_id=subject_id,
        job_id=job_id,
        words=words,
    )
    act.session.add(line)
    return line


def write_job_logs(act: Act, deed: str, subject: str, subject_id: int, words: str, job_ids: Iterable[int]) -> None:
    """The line once for each job that it is about, so that every one's log has it; one without a job for none."""
    for job_id in sorted(set(job_ids)) or (None,):
        write_log(act, deed, subject, subject_id, words, job_id=job_id)


def is_changed(act: Act, row: Base) -> bool:
    """Whether what was just set on a row differs from what the book holds. Asked before the row is written and before
    its revision goes up: a press on Save that changed nothing is not logged as a change."""
    return act.session.is_modified(row)


def next_number(session: Session, series: str, year: int = 0) -> int:
    """The next number of a series, without a gap: the counter's row is only ever changed under the writers' lock."""
    counter = session.get(NumberCounter, (series, year))
    if counter is None:
        counter = NumberCounter(series=series, year=year)
        session.add(counter)
    counter.last_number += 1
    return counter.last_number


def number_to_come(session: Session, series: str, year: int = 0) -> int:
    """The number that the series gives next; draws nothing."""
    counter = session.get(NumberCounter, (series, year))
    return counter.last_number + 1 if counter else 1


def set_last_number(session: Session, series: str, last_number: int, year: int = 0) -> None:
    """Let a series go on where the shop's old one ended.

    RuleBroken when that would give a number twice, or leave a gap in a series that papers stand in already.
    """
    counter = session.get(NumberCounter, (series, year))
    if counter is not None and last_number > counter.last_number and _has_papers(session, series):
        raise RuleBroken("This series already has papers, so a jump would leave a gap. Keep the number.", "last_number")
    if counter is None:
        session.add(NumberCounter(series=series, year=year, last_number=last_number))
    elif last_number < counter.last_number:
        raise RuleBroken(f"Number {counter.last_number} is already used. Enter that or a higher one.", "last_number")
    else:
        counter.last_number = last_number


def _has_papers(session: Session, series: str) -> bool:
    return any(
        session.scalar(select(table.id).where(table.series == series).limit(1)) is not None
        for table in (Invoice, Payment)
    )


@dataclass(frozen=True, slots=True)
class Source:
    """What a stock movement belongs to, and why it was made."""

    job_id: int | None = None
    stage_id: int | None = None
    lot_id: int | None = None
    mix_id: int | None = None
    delivery_line_id: int | None = None
    returns_id: int | None = None
    is_assumed: bool = False
    reason: str = ""


def stock_of(material: Material) -> Stock:
    """A material's running figures as the pure algorithm takes them."""
    return Stock(
        quantity_thousandths=material.on_hand_thousandths,
        value_minor=material.value_minor,
        basis_value_minor=material.basis_value_minor,
        basis_quantity_thousandths=material.basis_quantity_thousandths,
    )


def post_stock(
    act: Act,
    material: Material,
    outcome: tuple[Stock, Sequence[Posting]],
    source: Source = Source(),
    *,
    on: date | None = None,
) -> list[Movement]:
    """Write what an act of `trade.stock.average_cost` answered: its lines in order, and the material's new figures.

    `on` defaults to the local day of `now`. RuleBroken when it lies in a closed month.
    """
    day = on or act.day
    refuse_closed(act.session, day)
    stock, lines = outcome
    movements = [_movement(act.actor, act.moment, day, material, line, source) for line in lines]
    act.session.add_all(movements)
    material.on_hand_thousandths = stock.quantity_thousandths
    material.value_minor = stock.value_minor
    material.basis_value_minor = stock.basis_value_minor
    material.basis_quantity_thousandths = stock.basis_quantity_thousandths
    material.needs_count = material.needs_count or any(line.is_flagged for line in movements)
    act.session.flush()
    return movements


def take_stock_back(act: Act, movement: Movement) -> Movement:
    """Undo one line of the stock ledger by a line of its own day with the same quantity and value, the other way."""
    material = act.session.get_one(Material, movement.material_id)
    line = Posting(MovementKind(movement.kind), movement.quantity_thousandths, movement.value_minor)
    source = Source(
        job_id=movement.job_id,
        stage_id=movement.stage_id,
        lot_id=movement.lot_id,
        mix_id=movement.mix_id,
        returns_id=movement.id,
        reason=UNDONE,
    )
    return post_stock(act, material, take_back(stock_of(material), line), source, on=movement.on)[0]


def _movement(actor: Actor, now: datetime, day: date, material: Material, line: Posting, source: Source) -> Movement:
    return Movement(
        material_id=material.id,
        kind=line.kind,
        at=now,
        on=day,
        quantity_thousandths=line.quantity_thousandths,
        value_minor=line.value_minor,
        job_id=source.job_id,
        stage_id=source.stage_id,
        lot_id=source.lot_id,
        mix_id=source.mix_id,
        delivery_line_id=source.delivery_line_id,
        returns_id=source.returns_id,
        is_assumed=source.is_assumed,
        is_flagged=line.is_beyond_book or line.is_unpriced,
        reason=source.reason,
        person_id=actor.person_id,
    )


def post_clock(session: Session, entry: ClockEntry, shares: Iterable[ClockShare]) -> ClockEntry:
    """Write one finished clock entry with what of it falls on which stage."""
    refuse_closed(session, entry.on)
    session.add(entry)
    session.flush()
    for share in shares:
        share.entry_id = entry.id
        session.add(share)
    session.flush()
    return entry


def reverse_clock(act: Act, entry: ClockEntry, reason: str) -> ClockEntry:
    """Take one clock entry back whole: a line with the same times and negative minutes, share by share."""
    shares = act.session.scalars(
        select(ClockShare).where(ClockShare.entry_id == entry.id).order_by(ClockShare.id)
    ).all()
    back = ClockEntry(
        person_id=entry.person_id,
        at=act.moment,
        on=entry.on,
        started_at=entry.started_at,
        stopped_at=entry.stopped_at,
        minutes=-entry.minutes,
        what=entry.what,
        note=entry.note,
        reverses_id=entry.id,
        reason=reason,
        is_typed=True,
        by_person_id=act.actor.person_id,
    )
    return post_clock(
        act.session,
        back,
        [
            ClockShare(
                stage_id=share.stage_id,
                job_id=share.job_id,
                minutes=-share.minutes,
                cost_minor=-share.cost_minor,
                is_agreed=share.is_agreed,
            )
            for share in shares
        ],
    )


def post_payment(session: Session, payment: Payment) -> Payment:
    """Write one line of money taken or given back; its receipt number comes from the series' counter."""
    refuse_closed(session, payment.on, field="on")
    payment.number = next_number(session, payment.series, payment.year)
    session.add(payment)
    session.flush()
    return payment


def post_allocation(session: Session, allocation: Allocation) -> Allocation:
    """Set a part of a payment against an invoice."""
    refuse_closed(session, allocation.on)
    session.add(allocation)
    session.flush()
    return allocation

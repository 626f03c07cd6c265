"""Running clocks and who is here, now and on a day."""

from collections.abc import Iterable
from datetime import date, datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.floor import Attendance, RunningClock
from shopbook.models.shop import Person
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.floor.hours import next_stop
from shopbook.trade.permissions import Actor


def find_running(session: Session, person_id: int) -> RunningClock | None:
    """The clock that runs for a person, its stages loaded, or None."""
    return next(iter(_running(session, select(RunningClock).where(RunningClock.person_id == person_id))), None)


def list_running(session: Session) -> list[RunningClock]:
    """Every running clock with its stages, the longest first; one statement."""
    return _running(session, select(RunningClock).order_by(RunningClock.started_at))


def _running(session: Session, asked: Select[RunningClock]) -> list[RunningClock]:
    session.flush()
    asked = asked.options(joinedload(RunningClock.shares)).execution_options(populate_existing=True)
    return list(session.scalars(asked).unique())


def find_clock_of(actor: Actor, clocks: Iterable[RunningClock]) -> RunningClock | None:
    """The one of these clocks that is the person's own."""
    return next((clock for clock in clocks if clock.person_id == actor.person_id), None)


def names_of(session: Session, person_ids: Iterable[int]) -> dict[int, str]:
    """Names of people by id; one statement."""
    wanted = set(person_ids)
    if not wanted:
        return {}
    return {row.id: row.name for row in session.execute(select(Person.id, Person.name).where(Person.id.in_(wanted)))}


def list_overdue(session: Session, now: datetime) -> list[RunningClock]:
    """Running clocks that should have stopped by themselves: at lunch, at closing, at midnight."""
    clocks = list_running(session)
    # Nothing is asked of the shop while nobody works: the machine's daily round comes before a book is started, too.
    return overdue_among(clocks, shop_at(session, now), now) if clocks else []


def overdue_among(clocks: Iterable[RunningClock], shop: ShopOn, now: datetime) -> list[RunningClock]:
    """The same of clocks that are read already, by the opening hours of the day on which each was started."""
    return [
        clock
        for clock in clocks
        if next_stop(clock.started_at, shop.on(shop.day_of(clock.started_at)).opening)[0] <= now
    ]


def find_attendance(session: Session, person_id: int, on: date) -> Attendance | None:
    """When a person came and went on a day, as last written; None when nobody wrote it."""
    session.flush()
    return session.scalar(
        select(Attendance)
        .where(Attendance.person_id == person_id, Attendance.on == on)
        .order_by(Attendance.id.desc())
        .limit(1)
    )


def attendance_between(session: Session, first: date, last: date) -> dict[tuple[int, date], Attendance]:
    """The line of attendance that counts, by person and day, for the days from `first` to `last`; one statement."""
    session.flush()
    # The people are named so that each one's days are found by their index.
    lines = session.scalars(
        select(Attendance)
        .where(Attendance.person_id.in_(select(Person.id)), Attendance.on.between(first, last))
        .order_by(Attendance.id)
    )
    return {(line.person_id, line.on): line for line in lines}

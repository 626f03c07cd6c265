"""The desk's morning: cars in and out, approvals and answers due, drying, parts, shelf, yesterday's hours."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.diary.hours import SkillHours, hours_of_today
from shopbook.queries.floor.at_work import FloorNow, floor_now
from shopbook.queries.floor.entries import Unagreed, list_unagreed_work
from shopbook.queries.floor.hours import (
    LOOKS_BACK_DAYS,
    PersonHours,
    Sheets,
    UnplacedDay,
    day_sheets,
    newest_unplaced,
    sum_by_person,
    unplaced_among,
)
from shopbook.queries.floor.spoken import CallWanted, list_calls_wanted
from shopbook.queries.floor.windows import RunningWait
from shopbook.queries.money.approvals import OpenApproval, waits_for_approval
from shopbook.queries.money.extras import ToldExtra, list_told_extras
from shopbook.queries.money.open_quotes import OpenQuote, OpenQuotes, quotes_without_answer, read_open_quotes
from shopbook.queries.money.owed import OwedLine, list_owed
from shopbook.queries.money.whose import NamedSum
from shopbook.queries.reports.cars import CarToday, read_cars
from shopbook.queries.reports.due import DuePart, LateClock, late_clocks, list_due_parts
from shopbook.queries.reports.first import FirstRow, Morning, first_rows
from shopbook.queries.shelf.lots import Expiring, expiring_among
from shopbook.queries.shelf.orders import Order, late_among
from shopbook.queries.shelf.sheet import ShelfRow, list_short, read_shelf
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.trade.agreeing.words import Party
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.first import AT_MOST
from shopbook.trade.permissions import Role

LOTS_AHEAD_DAYS = 30
STALE_WAIT = timedelta(days=2)
"""A wait without a latest time that ended this long ago is no longer news."""


@dataclass(frozen=True, slots=True)
class WaitingApproval:
    """An approval that was asked for, and what the shop risks until it comes."""

    asked: OpenApproval
    risk_minor: int

    @property
    def gross_minor(self) -> int:
        """What is asked for, with tax."""
        return self.asked.gross_minor


@dataclass(frozen=True, slots=True)
class UnagreedWork:
    """Work that nobody has approved, with its job (car and customer loaded)."""

    work: Unagreed
    job: Job


@dataclass(frozen=True, slots=True)
class CallToMake:
    """A customer who wants to be called, with the job (car and customer loaded)."""

    wanted: CallWanted
    job: Job


@dataclass(frozen=True, slots=True)
class Today:
    """Everything on the page of the day."""

    on: date
    first: tuple[FirstRow, ...]
    in_shop: int
    hours: tuple[SkillHours, ...]
    cars: tuple[CarToday, ...]
    approvals: tuple[WaitingApproval, ...]
    told: tuple[ToldExtra, ...]
    unagreed: tuple[UnagreedWork, ...]
    quotes: tuple[OpenQuote, ...]
    calls: tuple[CallToMake, ...]
    debts: tuple[OwedLine, ...]
    waits: tuple[RunningWait, ...]
    parts: tuple[DuePart, ...]
    short: tuple[ShelfRow, ...]
    late_orders: tuple[Order, ...]
    expiring: tuple[Expiring, ...]
    unplaced: tuple[UnplacedDay, ...]
    yesterday_on: date
    yesterday: tuple[PersonHours, ...]
    late_clocks: tuple[LateClock, ...]
    opening: OpeningHours

    @property
    def coming(self) -> int:
        """How many cars should arrive."""
        days = [car.job.drop_off_on for car in self.cars if not car.is_out]
        return sum(day is not None and day <= self.on for day in days)

    @property
    def going(self) -> int:
        """How many cars should leave by today."""
        days = [car.job.promise_on for car in self.cars if car.is_out]
        return sum(day is not None and day <= self.on for day in days)

    @property
    def missing(self) -> list[tuple[str, DuePart | Order | ShelfRow | Expiring]]:
        """Parts that should be here, late orders, what is short, what expires: each with its kind, worst first."""
        return [
            *(("part", row) for row in self.parts),
            *(("order", order) for order in self.late_orders),
            *(("short", row) for row in self.short),
            *(("lot", lot) for lot in self.expiring),
        ]

    @property
    def found(self) -> list[tuple[str, ToldExtra | UnagreedWork]]:
        """Extra work that was told, and work that nobody has approved: each with its kind."""
        return [*(("told", row) for row in self.told), *(("unagreed", row) for row in self.unagreed)]

    @property
    def asked(self) -> list[tuple[str, WaitingApproval | OpenQuote]]:
        """Who was asked and has not answered: for work that goes on, then first answers to whole jobs."""
        return [*(("approval", row) for row in self.approvals), *(("quote", row) for row in self.quotes)]


def get_today(
    session: Session, now: datetime, shop: ShopOn | None = None, roles: Collection[Role] = (Role.OWNER,)
) -> Today:
    """The page of the day for a person of these roles; the number of statements does not depend on how much there is.

    `shop` is the shop on the day of `now` where it is read already.
    """
    shop = shop or shop_at(session, now)
    floor, shelf, today, opening = floor_now(shop, now), read_shelf(session), shop.day, shop.opening
    opened = read_open_quotes(session)
    approvals = _approvals(session, opened)
    unagreed, calls = list_unagreed_work(session), list_calls_wanted(session, shop.person_names)
    parts, debts = list_due_parts(session, today), _overdue(session, today)
    short = list_short(session, today, shelf)
    named = {*_jobs_of(parts), *_most(debts), *(row.job_id for row in unagreed), *(row.job_id for row in calls)}
    day = read_cars(shop, now, named, [row.job for row in approvals], roles)
    yesterday = _working_day_before(opening, today)
    first, last = min(yesterday, today - timedelta(days=LOOKS_BACK_DAYS)), today - timedelta(days=1)
    sheets = day_sheets(session, first, last, now, shop.on(last).opening)
    return Today(
        on=today,
        first=tuple(first_rows(Morning(shop, now, day.cars, day.jobs, parts, short, debts))),
        in_shop=sum(job.is_here for job in day.promised),
        hours=hours_of_today(shop, day.promised, day.away),
        cars=day.cars,
        approvals=tuple(WaitingApproval(row, _risk(row, day.risks)) for row in approvals),
        told=tuple(list_told_extras(session, opened)),
        unagreed=tuple(UnagreedWork(row, day.jobs[row.job_id]) for row in unagreed),
        quotes=tuple(_unanswered(session, today, opened)),
        calls=tuple(CallToMake(row, day.jobs[row.job_id]) for row in calls),
        debts=tuple(debts),
        waits=tuple(_waits(floor)),
        parts=tuple(parts),
        short=tuple(short),
        late_orders=tuple(late_among(shelf.orders, today)),
        expiring=tuple(expiring_among(shelf.lots, today, LOTS_AHEAD_DAYS)),
        unplaced=tuple(newest_unplaced(unplaced_among(session, sheets, shop.person_names))),
        yesterday_on=yesterday,
        yesterday=tuple(sum_by_person(session, _of_day(sheets, yesterday), shop.person_names)),
        late_clocks=tuple(late_clocks(floor)),
        opening=opening,
    )


def _jobs_of(parts: Iterable[DuePart]) -> set[int]:
    return {row.part.job_id for row in parts}


def _overdue(session: Session, today: date) -> list[OwedLine]:
    """Shares of invoices that are past their day, the longest late first."""
    return [line for line in list_owed(session, today) if line.due_on < today]


def _most(debts: Iterable[OwedLine]) -> set[int]:
    """The jobs of the largest sums that are overdue, of which only a few can come first."""
    sums: dict[int, int] = {}
    for line in debts:
        sums[line.invoice.job_id] = sums.get(line.invoice.job_id, 0) + line.owed_minor
    return set(sorted(sums, key=lambda job_id: (-sums[job_id], job_id))[:AT_MOST])


def _is_first_answer(row: OpenApproval) -> bool:
    """The customer's first answer to a whole job: an unanswered quote, not work that waits for approval."""
    return row.party == Party.CUSTOMER and row.job.agreed_at is None


def _approvals(session: Session, opened: OpenQuotes) -> list[OpenApproval]:
    return [row for row in waits_for_approval(session, opened) if not _is_first_answer(row)]


def _unanswered(session: Session, today: date, opened: OpenQuotes) -> list[OpenQuote]:
    return [row for row in quotes_without_answer(session, today, opened) if row.job.agreed_at is None]


def _risk(row: OpenApproval, risks: Mapping[int, Iterable[NamedSum]]) -> int:
    """What the shop risks until a payer approves."""
    return sum(risk.amount_minor for risk in risks.get(row.job.id, ())) if row.party == Party.PAYER else 0


def _of_day(sheets: Sheets, day: date) -> Sheets:
    return {key: sheet for key, sheet in sheets.items() if key[1] == day}


def _waits(floor: FloorNow) -> list[RunningWait]:
    """Waits that end by tomorrow night, windows that close or have closed, and what has been ready since lately."""
    opening, now = floor.shop.opening, floor.moment
    last = opening.add_working_days(opening.local_day(now) + timedelta(days=1), 0)
    return [
        wait
        for wait in floor.waits
        if wait.shuts_at is not None or (now - wait.ready_at < STALE_WAIT and opening.local_day(wait.ready_at) <= last)
    ]


def _working_day_before(opening: OpeningHours, today: date) -> date:
    before = opening.working_days(today - timedelta(days=14), today - timedelta(days=1))
    return before[-1] if before else today - timedelta(days=1)

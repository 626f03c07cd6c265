"""Hours: a clock entry against its interval, its shares and the cost of its person; corrections; running clocks."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import accumulate, groupby

from sqlalchemy import ColumnElement, case, func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare, RunningClock
from shopbook.models.seal.chain import Seal
from shopbook.models.shop import Person, PersonCost
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of
from shopbook.trade.floor.hours import Interval, labour_cost
from shopbook.trade.floor.words import ClockWhat
from shopbook.trade.measures.amounts import share_out

_AT_ONCE = 1000
_COLUMNS = (
    ClockEntry.id,
    ClockEntry.person_id,
    ClockEntry.on,
    ClockEntry.at,
    ClockEntry.what,
    ClockEntry.minutes,
    ClockEntry.reverses_id,
    ClockEntry.started_at,
    ClockEntry.stopped_at,
    ClockShare.stage_id,
    ClockShare.minutes.label("share_minutes"),
    ClockShare.cost_minor,
)
Part = tuple[int, int, int]
"""Stage, minutes and cost of one share."""


@dataclass(slots=True)
class _Entry:
    person_id: int
    on: date
    at: datetime
    what: str
    minutes: int
    length: int
    reverses_id: int | None
    parts: list[Part] = field(default_factory=list)

    @property
    def cost_minor(self) -> int:
        return sum(cost for _, _, cost in self.parts)


def _read_entries(session: Session, *only: ColumnElement[bool]) -> Iterator[tuple[int, _Entry]]:
    """Entries with their shares in order, by id, one after another; one statement."""
    asked = select(*_COLUMNS).outerjoin(ClockShare, ClockShare.entry_id == ClockEntry.id).where(*only)
    rows = session.execute(asked.order_by(ClockEntry.id, ClockShare.id), execution_options={"yield_per": _AT_ONCE})
    for key, shares in groupby(rows, key=lambda row: row[0]):
        first, *others = shares
        _, person_id, on, at, what, minutes, reverses_id, started_at, stopped_at, *_ = first
        parts = [(row.stage_id, row.share_minutes, row.cost_minor) for row in (first, *others) if row.stage_id]
        length = Interval(started_at, stopped_at).minutes
        yield key, _Entry(person_id, on, at, what, minutes, length, reverses_id, parts)


def _clocks_add_up(session: Session) -> Iterator[Fault | None]:
    """An entry is as long as its interval, its shares sum to it, and its cost lies on them by their minutes.

    Of 9:00 to 10:41 at 30.00 an hour: 101 minutes, 50.50. A reversing line has the same length with a minus.
    """
    costs = _PersonCosts(session)
    for key, entry in _read_entries(session):
        said = _wrong_length(entry) or _wrong_shares(entry) or _wrong_cost(entry, costs)
        yield None if said is None else Fault("clock_entry", str(key), f"Clock entry {key} {said}")


def _wrong_length(entry: _Entry) -> str | None:
    wanted = entry.length if entry.reverses_id is None else -entry.length
    return None if entry.minutes == wanted else f"has {entry.minutes} minutes, its times are {wanted} apart"


def _wrong_shares(entry: _Entry) -> str | None:
    shared = sum(minutes for _, minutes, _ in entry.parts)
    is_whole = shared == entry.minutes if entry.parts else entry.what != ClockWhat.STAGE
    return None if is_whole else f"has {entry.minutes} minutes, its shares {shared}"


def _wrong_cost(entry: _Entry, costs: "_PersonCosts") -> str | None:
    if not entry.parts or entry.reverses_id is not None:
        return None
    total = entry.cost_minor
    if share_out(total, [minutes for _, minutes, _ in entry.parts]) != [cost for _, _, cost in entry.parts]:
        return "has its cost on its stages otherwise than by their minutes"
    if costs.may_be(entry, total):
        return None
    return f"costs {total}, which is no cost of person {entry.person_id} on {entry.on} for {entry.minutes} minutes"


class _PersonCosts:
    """What an hour of each person cost on a day, by any word that the book had by then.

    An hour's cost may be set later for a day that lies behind: what was written before keeps the figure of its time.
    Before there was a seal the figure of a day was written over, and is known no more: such entries pass.
    """

    def __init__(self, session: Session) -> None:
        asked = select(PersonCost.person_id, PersonCost.from_on, PersonCost.cost_minor).order_by(PersonCost.id)
        self.lines: dict[int, list[tuple[date, int]]] = defaultdict(list)
        for person_id, from_on, cost in session.execute(asked):
            self.lines[person_id].append((from_on, cost))
        self.sealed_since = session.scalar(select(Seal.at).order_by(Seal.number).limit(1))
        self.known: dict[tuple[int, date], set[int]] = {}

    def may_be(self, entry: _Entry, cost_minor: int) -> bool:
        """Whether the minutes cost that by one of the figures that ever applied on the day."""
        place = entry.person_id, entry.on
        if place not in self.known:
            self.known[place] = _ever_on(self.lines[entry.person_id], entry.on)
        if any(labour_cost(entry.minutes, cost) == cost_minor for cost in self.known[place]):
            return True
        return self.sealed_since is None or entry.at < self.sealed_since


def _ever_on(lines: Sequence[tuple[date, int]], on: date) -> set[int]:
    """The figures that applied on a day after each line in turn; zero before the first."""
    applying = [(from_on, cost) for from_on, cost in lines if from_on <= on]
    return {0, *(cost for _, cost in accumulate(applying, _later))}


def _later(before: tuple[date, int], line: tuple[date, int]) -> tuple[date, int]:
    """Of one day the newest line counts, so a later line of the same day takes over too."""
    return line if line[0] >= before[0] else before


def _reversals_take_back_all(session: Session) -> Iterator[Fault | None]:
    """A reversing line takes back every share of its entry, minutes and cost."""
    reversed_ids = select(ClockEntry.reverses_id).where(ClockEntry.reverses_id.is_not(None))
    either = ClockEntry.reverses_id.is_not(None) | ClockEntry.id.in_(reversed_ids)
    entries = dict(_read_entries(session, either))
    for key, entry in entries.items():
        if entry.reverses_id is None:
            continue
        first = entries.get(entry.reverses_id)
        taken = [(stage, -minutes, -cost) for stage, minutes, cost in first.parts] if first else None
        is_whole = first is not None and entry.minutes == -first.minutes and entry.parts == taken
        of = first.minutes if first else "no"
        said = f"Clock entry {key} reverses {-entry.minutes} of {of} minutes, or another cost"
        yield fault_of("clock_entry", key, said, holds=is_whole)


def _one_clock_a_person(session: Session) -> Iterator[Fault | None]:
    lines = session.execute(
        select(RunningClock.person_id, func.count(), func.max(case((Person.is_active, 1), else_=0)))
        .join(Person, Person.id == RunningClock.person_id)
        .group_by(RunningClock.person_id)
    )
    for person_id, clocks, is_active in lines:
        said = f"Person {person_id} left or runs {clocks} clocks at once"
        yield fault_of("running_clock", person_id, said, holds=bool(clocks == 1 and is_active))


CLAIMS = (
    Claim(
        "clocks_add_up", "a clock entry is its interval, the sum of its shares, at its person's cost", _clocks_add_up
    ),
    Claim("reversals", "a corrected clock entry is fully reversed", _reversals_take_back_all),
    Claim("running_clocks", "each person has at most one running clock", _one_clock_a_person),
)

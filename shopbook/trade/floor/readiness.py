"""What each stage of a plan waits for: work before it, a wait that runs, a part, a yes, or the car itself."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum

from shopbook.trade.letters import lower_first


class Hold(StrEnum):
    """One reason why a stage cannot be worked now, the gravest first."""

    NOT_HERE = "not_here"
    PREDECESSOR = "predecessor"
    PART = "part"
    WAIT = "wait"
    NOT_APPROVED = "not_approved"


class StageState(StrEnum):
    """Where one stage stands."""

    DONE = "done"
    BEGUN = "begun"
    CAN_BEGIN = "can_begin"
    HELD = "held"


NEEDS_APPROVAL = frozenset({"plan", "extra"})
"""Purposes of stages that somebody must have said yes to; looking, goodwill, rework and our own car need none."""


@dataclass(frozen=True, slots=True)
class AwaitedPart:
    """A part that a stage waits for."""

    name: str
    due_on: date | None = None
    has_come: bool = False


@dataclass(frozen=True, slots=True)
class StageRow:
    """What of a stage bears on its readiness. The wait belongs to the time after this stage."""

    id: int
    name: str
    after: tuple[int, ...] = ()
    purpose: str = "plan"
    is_agreed: bool = False
    begun_at: datetime | None = None
    finished_at: datetime | None = None
    is_struck: bool = False
    not_before_minutes: int = 0
    not_after_minutes: int | None = None
    adds_stage: str = ""
    part: AwaitedPart | None = None


@dataclass(frozen=True, slots=True)
class Readiness:
    """What one stage waits for. `sentence` says the first hold in words, empty where nothing holds it.

    `ready_at` is when the last running wait ends; `shuts_at` when the first open window closes, after which the stage
    coded `adds_stage` has to come first (`is_past_window`).
    """

    stage_id: int
    state: StageState
    holds: tuple[Hold, ...] = ()
    sentence: str = ""
    ready_at: datetime | None = None
    shuts_at: datetime | None = None
    is_past_window: bool = False
    adds_stage: str = ""
    before: tuple[str, ...] = field(default=())
    part: AwaitedPart | None = None

    @property
    def can_begin(self) -> bool:
        """Whether it can be worked now with nothing against it."""
        return self.state in {StageState.CAN_BEGIN, StageState.BEGUN}

    @property
    def is_not_approved(self) -> bool:
        """Whether a yes is missing, whatever else is."""
        return Hold.NOT_APPROVED in self.holds

    @property
    def waits_until(self) -> datetime | None:
        """When it may begin; None where no wait runs before it."""
        return self.ready_at if Hold.WAIT in self.holds else None

    @property
    def could_be_clocked(self) -> bool:
        """Whether nothing but a missing yes stands against it: the shop's strictness decides."""
        return self.state is not StageState.DONE and set(self.holds) <= {Hold.NOT_APPROVED}


def stages_ready(rows: Sequence[StageRow], now: datetime, *, is_here: bool) -> dict[int, Readiness]:
    """What every stage that is not struck out waits for at `now`, by its id.

    A stage that was struck out is passed over: whoever waited for it waits for what it waited for. `is_here` says
    whether the car has come. Waits are elapsed time, through nights and closed days.
    """
    by_id = {row.id: row for row in rows}
    return {row.id: _readiness(row, by_id, now, is_here) for row in rows if not row.is_struck}


def followers_of(stage_id: int, befores: Mapping[int, Collection[int]], struck: Collection[int]) -> list[int]:
    """Ids of the stages that come directly after one, in the order of `befores`: by stage, what it comes after.

    A stage that was struck out stands for what follows it.
    """
    found: set[int] = set()
    asked = [stage_id]
    while asked:
        before = asked.pop()
        for key in (key for key, keys in befores.items() if before in keys and key not in found):
            found.add(key)
            if key in struck:
                asked.append(key)
    return [key for key in befores if key in found and key not in struck]


def _state(row: StageRow, holds: Sequence[Hold]) -> StageState:
    if row.begun_at is not None:
        return StageState.BEGUN
    return StageState.HELD if holds else StageState.CAN_BEGIN


def _holds(row: StageRow, open_names: Sequence[str], *, is_here: bool, is_waiting: bool) -> tuple[Hold, ...]:
    """What keeps a stage from beginning, the first thing first; once it is begun only a yes can be missing."""
    is_begun = row.begun_at is not None
    reasons = {
        Hold.NOT_HERE: not is_here and not is_begun,
        Hold.PREDECESSOR: bool(open_names) and not is_begun,
        Hold.PART: row.part is not None and not row.part.has_come and not is_begun,
        Hold.WAIT: is_waiting and not is_begun,
        Hold.NOT_APPROVED: row.purpose in NEEDS_APPROVAL and not row.is_agreed,
    }
    return tuple(hold for hold, is_so in reasons.items() if is_so)


def _readiness(row: StageRow, by_id: Mapping[int, StageRow], now: datetime, is_here: bool) -> Readiness:
    if row.finished_at is not None:
        return Readiness(row.id, StageState.DONE)
    befores = _before(row, by_id)
    open_names = tuple(before.name for before in befores if before.finished_at is None)
    ready_at = _last_wait(befores)
    if ready_at is not None and ready_at <= now:
        ready_at = None
    holds = _holds(row, open_names, is_here=is_here, is_waiting=ready_at is not None)
    shuts_at, adds_stage = _first_shut(befores) or (None, "")
    return Readiness(
        stage_id=row.id,
        state=_state(row, holds),
        holds=holds,
        sentence=_say(holds[0], row, open_names) if holds else "",
        ready_at=ready_at,
        shuts_at=shuts_at,
        is_past_window=row.begun_at is None and shuts_at is not None and now > shuts_at,
        adds_stage=adds_stage,
        before=open_names,
        part=row.part,
    )


def _before(row: StageRow, by_id: Mapping[int, StageRow]) -> list[StageRow]:
    """The stages it waits for, those that were struck out replaced by what they waited for."""
    found: dict[int, StageRow] = {}
    seen: set[int] = set()
    asked = list(row.after)
    while asked:
        key = asked.pop()
        before = by_id.get(key)
        if key in seen or before is None:
            continue
        seen.add(key)
        if before.is_struck:
            asked.extend(before.after)
        else:
            found[key] = before
    return [found[key] for key in sorted(found)]


def _last_wait(befores: Sequence[StageRow]) -> datetime | None:
    ends = [
        before.finished_at + timedelta(minutes=before.not_before_minutes)
        for before in befores
        if before.finished_at is not None and before.not_before_minutes
    ]
    return max(ends, default=None)


def _first_shut(befores: Sequence[StageRow]) -> tuple[datetime, str] | None:
    shuts = [
        (before.finished_at + timedelta(minutes=before.not_after_minutes), before.adds_stage)
        for before in befores
        if before.finished_at is not None and before.not_after_minutes is not None
    ]
    return min(shuts, default=None)


def _say(hold: Hold, row: StageRow, open_names: Sequence[str]) -> str:
    if hold is Hold.NOT_HERE:
        return "the car is not here yet"
    if hold is Hold.PREDECESSOR:
        more = f" and {len(open_names) - 1} more" if len(open_names) > 1 else ""
        return f"after {lower_first(open_names[0])}{more}"
    if hold is Hold.PART:
        return f"waits for {row.part.name}" if row.part else "waits for a part"
    return "a wait is running" if hold is Hold.WAIT else "no yes yet"

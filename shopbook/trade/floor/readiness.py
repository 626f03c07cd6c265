"""What each stage of a plan waits for: work before it, drying or curing, a part, an approval, or the car itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from enum import StrEnum

from shopbook.trade.floor.coat_waits import CoatWait, Layer, SatOut, asked_of, windows_among
from shopbook.trade.letters import lower_first


class Hold(StrEnum):
    """One reason why a stage cannot be worked on now, the most serious first."""

    NOT_HERE = "not_here"
    PREDECESSOR = "predecessor"
    PART = "part"
    WAIT = "wait"
    WINDOW = "window"
    """The recoat window of the coat under it has closed: another stage comes first."""
    NOT_APPROVED = "not_approved"


class StageState(StrEnum):
    """Where one stage stands."""

    DONE = "done"
    BEGUN = "begun"
    CAN_BEGIN = "can_begin"
    HELD = "held"


NEEDS_APPROVAL = frozenset({"plan", "extra"})
"""Purposes of stages that must be approved; looking, goodwill, rework and our own car need no approval."""


@dataclass(frozen=True, slots=True)
class AwaitedPart:
    """A part that a stage waits for."""

    name: str
    due_on: date | None = None
    has_come: bool = False


@dataclass(frozen=True, slots=True)
class StageRow:
    """The facts of a stage that decide its readiness; `waits` are those of the coats that it lays."""

    id: int
    name: str
    after: tuple[int, ...] = ()
    code: str = ""
    panels: tuple[str, ...] = ()
    waits: tuple[CoatWait, ...] = ()
    purpose: str = "plan"
    is_agreed: bool = False
    begun_at: datetime | None = None
    finished_at: datetime | None = None
    is_struck: bool = False
    part: AwaitedPart | None = None

    @property
    def layer(self) -> Layer:
        """What of it bears on coats."""
        return Layer(self.id, self.code, self.panels, self.waits, self.is_struck, self.finished_at)


@dataclass(frozen=True, slots=True)
class Readiness:
    """What one stage waits for. `sentence` says the first hold in words; it is empty where nothing holds the stage.

    `ready_at` is when the last running wait of the coats on its panels ends, laid by the stage `waits_for`; `shuts_at`
    when the first window on them closes, after which the stage coded `adds_stage` has to come first
    (`is_past_window`); `layer_id` is the stage that laid that coat. `easiest_until` is advice and holds nothing.
    """

    stage_id: int
    state: StageState
    holds: tuple[Hold, ...] = ()
    sentence: str = ""
    ready_at: datetime | None = None
    shuts_at: datetime | None = None
    is_past_window: bool = False
    adds_stage: str = ""
    layer_id: int = 0
    waits_for: int = 0
    easiest_until: datetime | None = None
    before: tuple[str, ...] = field(default=())
    part: AwaitedPart | None = None

    @property
    def can_begin(self) -> bool:
        """Whether it can be worked on now with nothing against it."""
        return self.state in {StageState.CAN_BEGIN, StageState.BEGUN}

    @property
    def is_not_approved(self) -> bool:
        """Whether the approval is missing, whatever else is."""
        return Hold.NOT_APPROVED in self.holds

    @property
    def waits_until(self) -> datetime | None:
        """When it may start; None where nothing dries or cures before it."""
        return self.ready_at if Hold.WAIT in self.holds else None

    @property
    def could_be_clocked(self) -> bool:
        """Whether only a missing approval stands against it: the shop's strictness decides."""
        return self.state is not StageState.DONE and set(self.holds) <= {Hold.NOT_APPROVED}


def stages_ready(rows: Sequence[StageRow], now: datetime, *, is_here: bool) -> dict[int, Readiness]:
    """What every stage that is not removed waits for at `now`, by its id; `rows` stand in the plan's order.

    A removed stage is skipped: what waited for it waits for what it waited for. Drying is asked of the coats on a
    stage's own panels (`coat_waits.py`), whoever stands before it. `is_here` says whether the car has come. Waits are
    elapsed time, through nights and closed days.
    """
    plan = _Standing({row.id: row for row in rows}, [row.layer for row in rows], now, is_here)
    return {row.id: _readiness(row, plan) for row in rows if not row.is_struck}


@dataclass(frozen=True, slots=True)
class _Standing:
    by_id: Mapping[int, StageRow]
    layers: Sequence[Layer]
    now: datetime
    is_here: bool


def _state(row: StageRow, holds: Sequence[Hold]) -> StageState:
    if row.begun_at is not None:
        return StageState.BEGUN
    return StageState.HELD if holds else StageState.CAN_BEGIN


def _holds(
    row: StageRow, open_names: Sequence[str], plan: _Standing, *, is_waiting: bool, is_shut: bool
) -> tuple[Hold, ...]:
    """What keeps a stage from starting, the first thing first; once it is started only approval can be missing."""
    is_begun = row.begun_at is not None
    reasons = {
        Hold.NOT_HERE: not plan.is_here and not is_begun,
        Hold.PREDECESSOR: bool(open_names) and not is_begun,
        Hold.PART: row.part is not None and not row.part.has_come and not is_begun,
        Hold.WAIT: is_waiting and not is_begun,
        Hold.WINDOW: is_shut and not is_begun,
        Hold.NOT_APPROVED: row.purpose in NEEDS_APPROVAL and not row.is_agreed,
    }
    return tuple(hold for hold, is_so in reasons.items() if is_so)


def _readiness(row: StageRow, plan: _Standing) -> Readiness:
    if row.finished_at is not None:
        return Readiness(row.id, StageState.DONE)
    asked = asked_of(row.layer, plan.layers)
    bound = windows_among(asked, row.layer, plan.layers)
    open_names = _open_names(row, asked, plan.by_id)
    last = _last_wait(asked, plan.now)
    shut = min((each for each in bound if each.wait.closes), key=_shuts, default=None)
    is_past = row.begun_at is None and shut is not None and plan.now > _shuts(shut)
    holds = _holds(row, open_names, plan, is_waiting=last is not None, is_shut=is_past)
    made = Readiness(
        stage_id=row.id,
        state=_state(row, holds),
        holds=holds,
        sentence=_say(holds[0], row, open_names) if holds else "",
        is_past_window=is_past,
        easiest_until=min((_shuts(each) for each in bound if not each.wait.closes), default=None),
        before=open_names,
        part=row.part,
    )
    return _with_window(_with_wait(made, last), shut)


def _with_wait(made: Readiness, last: SatOut | None) -> Readiness:
    return replace(made, ready_at=last.ready_at, waits_for=last.layer.id) if last else made


def _with_window(made: Readiness, shut: SatOut | None) -> Readiness:
    if shut is None:
        return made
    return replace(made, shuts_at=shut.shuts_at, adds_stage=shut.wait.adds, layer_id=shut.layer.id)


def _open_names(row: StageRow, asked: Sequence[SatOut], by_id: Mapping[int, StageRow]) -> tuple[str, ...]:
    """What must be done before it: the stages that it comes after, and those that lay the coats it works on.

    A coat that stands before it in the plan is laid before it, whatever became of the stages in between.
    """
    befores = {each.id: each for each in _before(row, by_id)}
    befores |= {each.layer.id: by_id[each.layer.id] for each in asked if each.layer.finished_at is None}
    return tuple(befores[key].name for key in sorted(befores) if befores[key].finished_at is None)


def _before(row: StageRow, by_id: Mapping[int, StageRow]) -> list[StageRow]:
    """The stages it waits for, removed ones replaced by what they waited for."""
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


def _last_wait(asked: Sequence[SatOut], now: datetime) -> SatOut | None:
    """The wait that ends last of those that still run."""
    running = [(each.ready_at, each) for each in asked if each.ready_at is not None and each.ready_at > now]
    return max(running, key=lambda pair: pair[0], default=(None, None))[1]


def _shuts(asked: SatOut) -> datetime:
    assert asked.shuts_at is not None
    return asked.shuts_at


def _say(hold: Hold, row: StageRow, open_names: Sequence[str]) -> str:
    if hold is Hold.NOT_HERE:
        return "the car is not here yet"
    if hold is Hold.PREDECESSOR:
        more = f" and {len(open_names) - 1} more" if len(open_names) > 1 else ""
        return f"after {lower_first(open_names[0])}{more}"
    if hold is Hold.PART:
        return f"waiting for {row.part.name}" if row.part else "waiting for a part"
    words = {Hold.WAIT: "still drying", Hold.WINDOW: "the recoat window has closed"}
    return words.get(hold, "not approved yet")

"""An honest day and half-day: a plan's stages placed forward into the hours that are not promised yet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.placing import PlacedStage, Room, StageNeed, place_stages
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.days import weekday_name

_TRIES = 60
"""Days by which a stage or a car is moved before the search stops; a plan that needs more is not a promise."""


@dataclass(frozen=True, slots=True)
class Promise:
    """When the car should come and when it can be collected, by the end of a half-day, and what decides it.

    `missed` holds stages that start after their window whatever is tried: the plan needs a stage before them.
    """

    stages: tuple[PlacedStage, ...]
    drop_off_on: date
    drop_off_half: HalfDay
    ready_at: datetime
    collect_on: date
    collect_half: HalfDay
    why: tuple[str, ...]
    missed: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The reasons as one sentence, to be shown under the day."""
        reasons = "; ".join(self.why) or "there is time free"
        return upper_first(reasons) + "."


def promise_car(
    needs: Sequence[StageNeed],
    opening: OpeningHours,
    room: Room,
    start: datetime,
    free_places: Mapping[date, int] | None = None,
    hand_over_minutes: int = 30,
    not_before: Mapping[str, datetime] | None = None,
) -> Promise:
    """The first promise that the shop can keep for `needs` from `start` (aware) on.

    A stage waits for its predecessors and their waits, for opening hours, and for a person of its skill whose hours
    are free; what is promised already comes first in the day. A stage with a window
    (`not_after_minutes`) moves the work before it later rather than miss it. The car needs a place on every working
    day from drop-off until it is ready; a day that `free_places` leaves out is free. `not_before` names the stages that
    something outside the plan holds up (a part, drying that has begun), by key. Whichever stage can start first
    is placed first, then the earlier on the plan, so the same plan gives the same promise. Raises RuleBroken with a
    sentence for a plan that waits for itself or has too few hours, and ValueError for a moment without
    a zone.
    """
    if start.tzinfo is None:
        raise ValueError("a moment must be aware")
    if not needs:
        raise RuleBroken("The plan is empty. Draft the plan first.")
    begin, blocked = start, None
    for _ in range(_TRIES):
        placed, missed = _keep_windows(needs, opening, room, begin, not_before or {})
        ready = max(row.free_at for row in placed)
        full = _day_without_place(placed, ready, opening, free_places or {})
        if full is None:
            return _promise(placed, missed, ready, opening, blocked, hand_over_minutes)
        begin = blocked = opening.next_open(_day_after(full, opening))
    raise RuleBroken("There is no free place for this car. Move another car first.")


def _promise(
    placed: Sequence[PlacedStage],
    missed: Sequence[str],
    ready: datetime,
    opening: OpeningHours,
    blocked: datetime | None,
    hand_over_minutes: int,
) -> Promise:
    first = min(row.starts_at for row in placed)
    handed = opening.add_working_minutes(ready, hand_over_minutes)
    why = _reasons(placed, opening)
    if blocked is not None:
        why.insert(0, f"no free place before {weekday_name(opening.local_day(blocked))}")
    return Promise(
        stages=tuple(placed),
        drop_off_on=opening.local_day(first),
        drop_off_half=opening.half_day(first),
        ready_at=ready,
        collect_on=opening.local_day(handed),
        collect_half=opening.half_day(handed),
        why=tuple(why),
        missed=tuple(missed),
    )


def _keep_windows(
    needs: Sequence[StageNeed],
    opening: OpeningHours,
    room: Room,
    begin: datetime,
    held: Mapping[str, datetime],
) -> tuple[list[PlacedStage], list[str]]:
    not_before = dict(held)
    placed = place_stages(needs, opening, room, begin, not_before)
    best, fewest = placed, _late(needs, placed)
    for _ in range(_TRIES):
        late = _late(needs, placed)
        if len(late) < len(fewest):
            best, fewest = placed, late
        if not late:
            break
        before = _last_before(next(need for need in needs if need.key == late[0]), placed)
        later = opening.next_open(_day_after(opening.local_day(before.starts_at), opening))
        not_before[before.key] = max(later, not_before.get(before.key, later))
        try:
            placed = place_stages(needs, opening, room, begin, not_before)
        except RuleBroken:
            break
    return best, fewest


def _last_before(need: StageNeed, placed: Sequence[PlacedStage]) -> PlacedStage:
    return max((row for row in placed if row.key in need.waits_for), key=lambda row: row.ends_at)


def _late(needs: Sequence[StageNeed], placed: Sequence[PlacedStage]) -> list[str]:
    starts = {row.key: row.starts_at for row in placed}
    return [
        need.key
        for need in needs
        if need.not_after_minutes is not None
        and need.waits_for
        and starts[need.key] - _last_before(need, placed).ends_at > timedelta(minutes=need.not_after_minutes)
    ]


def _day_without_place(
    placed: Sequence[PlacedStage], ready: datetime, opening: OpeningHours, free_places: Mapping[date, int]
) -> date | None:
    first = opening.local_day(min(row.starts_at for row in placed))
    days = opening.working_days(first, opening.local_day(ready))
    return next((day for day in reversed(days) if free_places.get(day, 1) <= 0), None)


def _day_after(day: date, opening: OpeningHours) -> datetime:
    following = opening.add_working_days(day + timedelta(days=1), 0)
    return opening.stretches_on(following)[0][0]


def _reasons(placed: Sequence[PlacedStage], opening: OpeningHours) -> list[str]:
    by_key = {row.key: row for row in placed}
    row: PlacedStage | None = max(placed, key=lambda one: one.free_at)
    reasons = []
    if row is not None and row.wait_words and row.free_at > row.ends_at:
        reasons.append(row.wait_words + _nights(row.ends_at, row.free_at, opening))
    while row is not None:
        before = by_key.get(row.held_by)
        if row.is_short_of_hours:
            day = weekday_name(opening.local_day(row.starts_at))
            reasons.append(f"{row.skill} hours are full until {day}")
        elif before is not None and row.held_words:
            reasons.append(row.held_words + _nights(before.ends_at, row.held_until, opening))
        row = before
    return list(dict.fromkeys(reversed(reasons)))


def _nights(ends_at: datetime, free_at: datetime, opening: OpeningHours) -> str:
    nights = (opening.local_day(opening.next_open(free_at)) - opening.local_day(ends_at)).days
    return " overnight" if nights == 1 else f" over {nights} days" if nights else ""

"""Stages placed one after the other into people's free hours, with waits that pass while the shop is closed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from graphlib import CycleError, TopologicalSorter

from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class CoatAsked:
    """A coat that a stage works on: laid by the stage with the key, ready so many minutes after its end."""

    key: str
    minutes: int
    words: str = ""


@dataclass(frozen=True, slots=True)
class StageNeed:
    """One stage to place: man-minutes of one skill after the stages with the keys in `after`.

    `coats` are those on its panels, whose waits pass by the wall clock, open or closed ("the paint has to cure").
    `flash_minutes` pass within it without hands, while its person stays at it. `wait_minutes` pass after it before any
    later stage may start. `not_after_minutes` is the longest time from the end of the work before it to its own start.
    """

    key: str
    skill: str
    minutes: int
    after: tuple[str, ...] = ()
    wait_minutes: int = 0
    wait_words: str = ""
    not_after_minutes: int | None = None
    in_one_day: bool = False
    coats: tuple[CoatAsked, ...] = ()
    flash_minutes: int = 0

    @property
    def waits_for(self) -> frozenset[str]:
        """The keys of all that must be done before it."""
        return frozenset((*self.after, *(coat.key for coat in self.coats)))


@dataclass(frozen=True, slots=True)
class Room:
    """Man-minutes of each skill still free on each day, and how many people have a skill (one unless told)."""

    free_minutes: Mapping[date, Mapping[str, int]]
    people: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PlacedStage:
    """A stage in its time: `free_at` is the end of its wait, `held_by` the stage that it had to wait for (or "").

    `held_until` is when that let it go, and `held_words` say why where it was a wait and not the work.
    """

    key: str
    skill: str
    starts_at: datetime
    ends_at: datetime
    free_at: datetime
    wait_words: str
    held_by: str
    held_until: datetime
    held_words: str
    is_short_of_hours: bool


@dataclass(slots=True)
class _Hours:
    """What is left while placing: minutes by (day, skill), and when each person of a skill is next free."""

    opening: OpeningHours
    room: Room
    begin: datetime
    used: dict[tuple[date, str], int] = field(default_factory=dict)
    free_from: dict[str, list[datetime]] = field(default_factory=dict)

    @property
    def last_on(self) -> date:
        return max(self.room.free_minutes, default=self.opening.local_day(self.begin))

    def people(self, skill: str) -> list[datetime]:
        count = max(self.room.people.get(skill, 1), 1)
        return self.free_from.setdefault(skill, [self.begin] * count)

    def could_start(self, need: StageNeed, earliest: datetime) -> datetime:
        """When somebody of the skill is free for it, opening hours apart; a stage without work needs nobody."""
        return max(earliest, min(self.people(need.skill))) if need.minutes else earliest

    def free_on(self, day: date, skill: str) -> int:
        return self.room.free_minutes.get(day, {}).get(skill, 0)

    def promised_each(self, day: date, skill: str) -> int:
        """Minutes of the day that each person of the skill has promised already; they count as done first."""
        count = len(self.people(skill))
        return max(-((self.free_on(day, skill) - self.opening.working_minutes_on(day) * count) // count), 0)


def place_stages(
    needs: Sequence[StageNeed],
    opening: OpeningHours,
    room: Room,
    begin: datetime,
    not_before: Mapping[str, datetime] | None = None,
) -> list[PlacedStage]:
    """The stages in their times, none before `begin`, as placed: next whichever can start first, then by the plan.

    Each stage goes to the person of its skill who is free first and may run over lunch, closing and full days.
    Raises RuleBroken for stages that wait for each other, an unknown predecessor, or too few hours.
    """
    _check(needs)
    hours, placed, left = _Hours(opening, room, begin), dict[str, PlacedStage](), list(needs)
    while left:
        ready = [
            (_earliest(need, placed, begin, not_before or {}), need)
            for need in left
            if all(key in placed for key in need.waits_for)
        ]
        earliest, need = min(ready, key=lambda pair: hours.could_start(pair[1], pair[0]))
        held = max(_holds(need, placed), key=lambda hold: hold[0], default=(begin, "", ""))
        placed[need.key] = _place(need, held, earliest, hours)
        left.remove(need)
    return list(placed.values())


def _earliest(
    need: StageNeed, placed: Mapping[str, PlacedStage], begin: datetime, not_before: Mapping[str, datetime]
) -> datetime:
    return max([begin, not_before.get(need.key, begin), *(until for until, _, _ in _holds(need, placed))])


_Hold = tuple[datetime, str, str]
"""Until when a stage is held, by which one, and the words of the wait."""


def _holds(need: StageNeed, placed: Mapping[str, PlacedStage]) -> list[_Hold]:
    """What lets a stage start and when: the work before it with its wait, and the coats that it works on."""
    work = [placed[key] for key in need.after]
    coats = [(placed[coat.key].ends_at + timedelta(minutes=coat.minutes), coat) for coat in need.coats]
    return [
        *((row.free_at, row.key, row.wait_words if row.free_at > row.ends_at else "") for row in work),
        *((until, coat.key, coat.words if coat.minutes else "") for until, coat in coats),
    ]


def _check(needs: Sequence[StageNeed]) -> None:
    keys = {need.key for need in needs}
    if len(keys) != len(needs):
        raise RuleBroken("Two stages of this plan have the same key.")
    if any(need.minutes < 0 or need.wait_minutes < 0 for need in needs):
        raise RuleBroken("Hours and drying times cannot be below zero.")
    if not all(keys.issuperset(need.waits_for) for need in needs):
        raise RuleBroken("A stage waits for one that is not in the plan. Check the order of the stages.")
    try:
        TopologicalSorter({need.key: need.waits_for for need in needs}).prepare()
    except CycleError:
        raise RuleBroken("Some stages wait for each other in a circle. Check their order.") from None


def _place(need: StageNeed, held: _Hold, earliest: datetime, hours: _Hours) -> PlacedStage:
    starts = ends = earliest
    is_short = False
    if need.minutes:
        people = hours.people(need.skill)
        person = people.index(min(people))
        wanted = max(earliest, people[person])
        starts, ends = _work(need, wanted, hours)
        people[person] = ends
        hoped_on = hours.opening.local_day(hours.opening.next_open(wanted))
        is_short = hours.opening.local_day(starts) > hoped_on and hours.promised_each(hoped_on, need.skill) > 0
    return PlacedStage(
        key=need.key,
        skill=need.skill,
        starts_at=starts,
        ends_at=ends,
        free_at=ends + timedelta(minutes=need.wait_minutes),
        wait_words=need.wait_words,
        held_by=held[1],
        held_until=held[0],
        held_words=held[2],
        is_short_of_hours=is_short,
    )


def _work(need: StageNeed, wanted: datetime, hours: _Hours) -> tuple[datetime, datetime]:
    left, starts, day = need.minutes, None, hours.opening.local_day(wanted)
    while day <= hours.last_on:
        stretches = _stretches(day, need.skill, wanted, hours)
        for begins, ends in stretches if _is_day_for(need, day, stretches, hours) else ():
            minutes = min(left, _left_on(day, need.skill, hours), (ends - begins) // timedelta(minutes=1))
            if minutes > 0:
                hours.used[day, need.skill] = hours.used.get((day, need.skill), 0) + minutes
                starts = starts or begins
                left -= minutes
            if left == 0:
                return starts or begins, begins + timedelta(minutes=max(minutes, 0) + need.flash_minutes)
        day += timedelta(days=1)
    raise RuleBroken(f"There are not enough free {need.skill} hours for this job. Free a day in the diary.")


def _left_on(day: date, skill: str, hours: _Hours) -> int:
    return hours.free_on(day, skill) - hours.used.get((day, skill), 0)


def _is_day_for(need: StageNeed, day: date, stretches: Sequence[tuple[datetime, datetime]], hours: _Hours) -> bool:
    longest = max(hours.opening.working_minutes_on(day + timedelta(days=later)) for later in range(7))
    if not need.in_one_day or need.minutes + need.flash_minutes > longest:
        return True
    there = sum((ends - begins) // timedelta(minutes=1) for begins, ends in stretches)
    return there >= need.minutes + need.flash_minutes and _left_on(day, need.skill, hours) >= need.minutes


def _stretches(day: date, skill: str, wanted: datetime, hours: _Hours) -> list[tuple[datetime, datetime]]:
    if not hours.opening.is_working_day(day):
        return []
    opens = hours.opening.stretches_on(day)[0][0]
    from_here = max(wanted, hours.opening.add_working_minutes(opens, hours.promised_each(day, skill)))
    return [(max(begins, from_here), ends) for begins, ends in hours.opening.stretches_on(day) if ends > from_here]

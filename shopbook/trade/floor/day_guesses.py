"""Where a gap in a person's day most likely belongs: guesses by rule, each with its reason, the best first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from shopbook.trade.floor.hours import Interval
from shopbook.trade.floor.words import OTHER_WORDS, ClockWhat
from shopbook.trade.letters import lower_first

SHORT_MINUTES = 20
LONG_MINUTES = 45
"""A stage that began early or ran over by more than this, or a quiet three quarters of an hour, is usually something
else: common practice, from memory."""

MOST = 3


@dataclass(frozen=True, slots=True)
class Worked:
    """One stretch of the day spent on stages; `job` and `name` say which ("1042", "Block"), `is_paint` its skill."""

    interval: Interval
    stage_ids: tuple[int, ...]
    job: str
    name: str
    is_paint: bool = False
    stopped_at_lunch: bool = False


@dataclass(frozen=True, slots=True)
class Unclocked:
    """A stage that the person finished on the day although nobody clocked a minute on it."""

    finished_at: datetime
    stage_id: int
    job: str
    name: str


@dataclass(frozen=True, slots=True)
class Clues:
    """What is known of the day around its gaps; `parts_came_at` are the moments when a part came in."""

    worked: Sequence[Worked] = ()
    unclocked: Sequence[Unclocked] = ()
    parts_came_at: Sequence[datetime] = ()


@dataclass(frozen=True, slots=True)
class Guess:
    """One place for a gap: stages, or what else was done; the words of the button and the reason behind it."""

    what: ClockWhat
    stage_ids: tuple[int, ...]
    words: str
    reason: str


def guess_hole(hole: Interval, clues: Clues) -> tuple[Guess, ...]:
    """At most three guesses for one gap, the best first; there is always at least one.

    The order: a stage finished meanwhile that nobody clocked, work that lunch cut off, the start and the end of a day,
    then the work before and after, then what fits the length; a short gap between work offers
    a break last. The same day always gives the same guesses.
    """
    before = next((w for w in clues.worked if w.interval.ends_at == hole.begins_at), None)
    after = next((w for w in clues.worked if w.interval.begins_at == hole.ends_at), None)
    found = [
        *_finished_in(hole, clues.unclocked),
        *_cut_by_lunch(hole, clues.worked),
        *_edges(hole, clues, before, after),
        *_neighbours(hole, before, after),
        *_by_length(hole, clues, after),
    ]
    return _first_of_each(found, _break(hole, before, after))


def _finished_in(hole: Interval, unclocked: Sequence[Unclocked]) -> list[Guess]:
    inside = [each for each in unclocked if hole.begins_at < each.finished_at <= hole.ends_at + timedelta(minutes=5)]
    return [
        Guess(
            ClockWhat.STAGE,
            (each.stage_id,),
            f"{each.job} {_low(each.name)}",
            "finished then and nobody clocked it",
        )
        for each in inside
    ]


def _cut_by_lunch(hole: Interval, worked: Sequence[Worked]) -> list[Guess]:
    cut = [each for each in worked if each.stopped_at_lunch and each.interval.ends_at <= hole.begins_at]
    later = [each for each in worked if cut and cut[-1].interval.ends_at < each.interval.ends_at <= hole.begins_at]
    if not cut or later:
        return []
    return [_on(cut[-1], "after lunch", "its clock stopped by itself at lunch")]


def _edges(hole: Interval, clues: Clues, before: Worked | None, after: Worked | None) -> list[Guess]:
    is_first = not any(each.interval.ends_at <= hole.begins_at for each in clues.worked)
    is_last = not any(each.interval.begins_at >= hole.ends_at for each in clues.worked)
    if is_first and after is not None:
        early = _on(after, "started early", "it was the first stage of the day")
        setting_up = _other(ClockWhat.SETTING_UP, "start of the day")
        return [early, setting_up] if hole.minutes <= SHORT_MINUTES else [setting_up, early]
    if is_last and before is not None:
        cleaning = _other(ClockWhat.CLEANING, "end of the day")
        over = _on(before, "ran over", "it was the last stage of the day")
        return [cleaning, over] if hole.minutes <= LONG_MINUTES else [over, cleaning]
    return []


def _neighbours(hole: Interval, before: Worked | None, after: Worked | None) -> list[Guess]:
    if before is not None and after is not None and before.stage_ids == after.stage_ids:
        return [_on(before, "continued", "same stage before and after")]
    found = []
    if after is not None:
        found.append(_on(after, "started early", "it came right after"))
    if before is not None:
        found.append(_on(before, "ran over", "it came right before"))
    return found if hole.minutes <= LONG_MINUTES else list(reversed(found))


def _by_length(hole: Interval, clues: Clues, after: Worked | None) -> list[Guess]:
    if any(hole.begins_at <= came <= hole.ends_at for came in clues.parts_came_at):
        return [
            _other(ClockWhat.WAITING, "a part came in at that time"),
            _other(ClockWhat.FETCHING, "a part came in at that time"),
        ]
    if after is not None and after.is_paint:
        return [
            _other(ClockWhat.FETCHING, "paint work came next"),
            _other(ClockWhat.PHONE, "a short break in the work"),
        ]
    if hole.minutes > LONG_MINUTES:
        return [_other(ClockWhat.WAITING, "a long gap"), _other(ClockWhat.MOVING_CARS, "a long gap")]
    return [_other(ClockWhat.CLEANING, "a short gap"), _other(ClockWhat.MOVING_CARS, "a short gap")]


def _on(worked: Worked, how: str, reason: str) -> Guess:
    return Guess(ClockWhat.STAGE, worked.stage_ids, f"{worked.job} {_low(worked.name)}, {how}", reason)


def _other(what: ClockWhat, reason: str) -> Guess:
    return Guess(what, (), OTHER_WORDS[what], reason)


def _low(name: str) -> str:
    """A stage's name in the middle of a line, short: what stands before its first comma."""
    short = name.split(",")[0]
    return lower_first(short)


def _break(hole: Interval, before: Worked | None, after: Worked | None) -> tuple[Guess, ...]:
    """A short gap between two stretches of work may be a break: it is offered, and never the best guess."""
    if before is None or after is None or hole.minutes > SHORT_MINUTES:
        return ()
    return (_other(ClockWhat.BREAK, "a short gap between two stretches of work"),)


def _first_of_each(found: Iterable[Guess], last: tuple[Guess, ...]) -> tuple[Guess, ...]:
    kept: dict[tuple[str, tuple[int, ...]], Guess] = {}
    for guess in found:
        kept.setdefault((guess.what, guess.stage_ids), guess)
    return (*tuple(kept.values())[: MOST - len(last)], *last)

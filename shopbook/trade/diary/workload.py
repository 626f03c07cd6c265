"""Promised work against people: minutes laid over days, people's weeks over opening hours, people shared by skill."""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date

from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.measures.amounts import divide_half_away, share_out


@dataclass(frozen=True, slots=True)
class Hand:
    """A person's minutes of one day and what the person can do."""

    skills: frozenset[str]
    minutes: int


def lay_over_days(work: Sequence[tuple[str, int]], days: Sequence[tuple[date, int]]) -> dict[tuple[date, str], int]:
    """Stages of (skill, minutes), in the order of their plan, laid end to end over days of (day, open minutes).

    The whole of the work fills the whole of the days, be it less or more than they hold: so a promise that is too tight
    shows. Sums exactly by skill. Days without a minute take nothing, unless none of them has any.
    """
    if not days:
        return {}
    room = [max(minutes, 0) for _, minutes in days]
    if not any(room):
        room = [1, *([0] * (len(days) - 1))]
    length, space = sum(minutes for _, minutes in work), sum(room)
    found: dict[tuple[date, str], int] = {}
    begun = 0
    for skill, minutes in work:
        starts, ends = begun * space, (begun + minutes) * space
        begun += minutes
        weights, edge = [], 0
        for open_minutes in room:
            left, edge = edge, edge + open_minutes * length
            weights.append(max(min(ends, edge) - max(starts, left), 0))
        for (day, _), part in zip(days, share_out(minutes, weights), strict=True):
            if part:
                found[day, skill] = found.get((day, skill), 0) + part
    return found


def week_minutes(opening: OpeningHours) -> int:
    """Minutes of work that a usual week of the shop holds, closed days aside."""
    stretches = [stretch for hours in opening.week if hours is not None for stretch in hours.stretches]
    return sum((ends.hour - begins.hour) * 60 + ends.minute - begins.minute for begins, ends in stretches)


def minutes_there(weekly_minutes: int, open_minutes: int, week: int) -> int:
    """A person's minutes of a day on which the shop is open so long: the week spread over the weekly opening hours.

    At most what the shop is open; an extra closed day is lost, not made up on the other days of its week.
    """
    if not week:
        return 0
    return min(divide_half_away(weekly_minutes * open_minutes, week), open_minutes)


def pools_of(people: Iterable[AbstractSet[str]]) -> dict[str, str]:
    """The pool of each skill: skills that the very same people have are one pool, named after all of them.

    One person who does everything is so one pair of hands, not three.
    """
    who: dict[str, list[int]] = {}
    for place, skills in enumerate(people):
        for skill in skills:
            who.setdefault(skill, []).append(place)
    return {
        skill: " and ".join(sorted(other for other in who if who[other] == places)) for skill, places in who.items()
    }


def in_pools(hands: Iterable[Hand], pools: Mapping[str, str]) -> list[Hand]:
    """The same hands with pools for skills."""
    return [Hand(frozenset(pools[skill] for skill in hand.skills if skill in pools), hand.minutes) for hand in hands]


def share_hands(
    hands: Iterable[Hand], wanted: Mapping[str, int], then: Mapping[str, int] | None = None
) -> dict[str, int]:
    """A day's hands by skill: people with the fewest skills are placed first, and first on work still uncovered.

    What a person has left goes over the person's skills in proportion to `then`, evenly without it. Sums to the
    minutes of all hands that can do anything.
    """
    there: dict[str, int] = {}
    for hand in sorted(hands, key=lambda one: len(one.skills)):
        skills = sorted(hand.skills)
        if not skills:
            continue
        open_wants = [max(wanted.get(skill, 0) - there.get(skill, 0), 0) for skill in skills]
        first = share_out(min(hand.minutes, sum(open_wants)), open_wants)
        weights = [(then or {}).get(skill, 0) for skill in skills]
        rest = share_out(hand.minutes - sum(first), weights if any(weights) else [1] * len(skills))
        for skill, met, more in zip(skills, first, rest, strict=True):
            there[skill] = there.get(skill, 0) + met + more
    return there

"""Hours of a day by skill: those promised against those of the people there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from shopbook.queries.diary.hands import Away, hands_by_day, list_absences, list_workers
from shopbook.queries.diary.promised import Minutes, PromisedJob, list_promised, sum_minutes, sum_undated
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.diary.workload import Hand, share_hands


@dataclass(frozen=True, slots=True)
class SkillHours:
    """Minutes promised of one skill on a day, and minutes of it that are there."""

    skill: str
    promised_minutes: int
    there_minutes: int
    undated_minutes: int = 0
    """What is left of it on jobs without a promised day; given for today only."""

    @property
    def is_over(self) -> bool:
        """Whether more is promised than can be done."""
        return self.promised_minutes > self.there_minutes


def sum_hours(days: Iterable[Sequence[SkillHours]]) -> tuple[SkillHours, ...]:
    """The hours of several days as one, by skill in the order of the trade."""
    rows = [one for day in days for one in day]
    return tuple(
        SkillHours(
            skill.value,
            sum(one.promised_minutes for one in rows if one.skill == skill),
            sum(one.there_minutes for one in rows if one.skill == skill),
        )
        for skill in Skill
        if any(one.skill == skill for one in rows)
    )


def hours_of_today(
    shop: ShopOn, promised: Sequence[PromisedJob] | None = None, away: Sequence[Away] | None = None
) -> tuple[SkillHours, ...]:
    """Hours promised and there of the shop's day, by skill, and what is left of jobs that have no day yet.

    `promised` are the open jobs of the diary, `away` the absences of the day and after, where they are read already.
    """
    session, today = shop.session, shop.day
    promised = list_promised(session, shop.opening, today) if promised is None else promised
    undated = sum_undated(promised)
    absences = (
        list_absences(session, today, today) if away is None else [each for each in away if each.absence.on == today]
    )
    found = hours_by_day(shop, [today], sum_minutes(promised), absences)[today]
    return tuple(replace(one, undated_minutes=undated.get(one.skill, 0)) for one in found)


def hours_by_day(
    shop: ShopOn, days: Sequence[date], taken: Minutes, absences: Sequence[Away]
) -> dict[date, tuple[SkillHours, ...]]:
    """The hours of each of these days; `taken` is what is promised, `absences` hold at least those of the days."""
    if not days:
        return {}
    hands = hands_by_day(shop.opening, days, list_workers(shop), absences)
    return {day: _hours(day, there, taken) for day, there in hands.items()}


def _hours(day: date, hands: Sequence[Hand], taken: Minutes) -> tuple[SkillHours, ...]:
    """Every skill that somebody has or that work is promised for, in the order of the trade."""
    wanted = {skill.value: taken.get((day, skill.value), 0) for skill in Skill}
    there = share_hands(hands, wanted)
    known = {skill for hand in hands for skill in hand.skills}
    return tuple(
        SkillHours(skill.value, wanted[skill.value], there.get(skill.value, 0))
        for skill in Skill
        if skill.value in known or wanted[skill.value]
    )

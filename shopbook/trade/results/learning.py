"""What a shop's own figures say of a standard: how long a stage took beside what the standard said, and the new one."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shopbook.trade.catalogue.entries import StageKind
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.measures.amounts import divide_half_away

FEWEST = 5
"""Fewer figures say more about single cars than about a standard."""

ELSEWHERE = frozenset({StageCode.TRIM_OFF, StageCode.REFIT, StageCode.FIT_PART, StageCode.PAINTLESS})
"""Stages whose minutes stand with the panels or with the classes of small dents, not with the stage."""


@dataclass(frozen=True, slots=True)
class Taught:
    """So many figures of one stage: the middle one, the middle half of them, and the middle of took ÷ standard.

    `permille` is thousandths: 1200 where it took a fifth longer than the standard said.
    """

    cases: int
    median_minutes: int
    low_minutes: int
    high_minutes: int
    permille: int


def teach(figures: Sequence[tuple[int, int]]) -> Taught | None:
    """What (standard minutes, minutes taken) of single stages teach; None for fewer than five with a standard.

    The middle of the ratios and not of the minutes makes the new standard, for a bonnet takes longer than a mirror by
    any standard. Quartiles by the inclusive method (Hyndman and Fan, 1996, type 7).
    """
    counted = [(said, took) for said, took in figures if said > 0 and took > 0]
    if len(counted) < FEWEST:
        return None
    taken = [took for _, took in counted]
    low, middle, high = (round(each) for each in statistics.quantiles(taken, n=4, method="inclusive"))
    ratios = [divide_half_away(took * 1000, said) for said, took in counted]
    return Taught(len(counted), middle, low, high, round(statistics.median(ratios)))


def scaled_stage(kind: StageKind, permille: int) -> StageKind:
    """The stage with all of its minutes times so many thousandths; what makes it longer or shorter stays as it is."""
    return replace(
        kind,
        fixed_minutes=divide_half_away(kind.fixed_minutes * permille, 1000),
        panel_minutes=divide_half_away(kind.panel_minutes * permille, 1000),
        damage_minutes=divide_half_away(kind.damage_minutes * permille, 1000),
        minutes_per_m2=round(kind.minutes_per_m2 * permille / 1000, 1),
    )


@dataclass(frozen=True, slots=True)
class ThreeFigures:
    """One stage in three figures, in man-minutes: the standard's, what the shop's own hours make of it, and which of
    them is offered to be used from today.

    On one usual repair where the stage is part of it; else on the middle one of the shop's own. `yours` is None while
    fewer than five figures speak of it.
    """

    usual: int
    yours: int | None
    cases: int = 0
    permille: int = 1000

    @property
    def offered(self) -> int:
        """What stands in the field: the shop's own figure where there is one."""
        return self.usual if self.yours is None else self.yours

    @property
    def is_off(self) -> bool:
        """Whether the shop's own figure is another than the standard, to the minute that is shown."""
        return self.yours not in (None, self.usual)


def three_figures(usual_minutes: int | None, taught: Taught | None) -> ThreeFigures | None:
    """The figures of one stage; None where neither a usual repair nor the shop's own hours say what it takes.

    Usual 45 minutes, a fifth longer in the shop: yours 54. Without a usual repair, and 60 minutes in the middle of the
    shop's own at 1.2 times the standard: usual 50, yours 60.
    """
    if taught is None:
        return ThreeFigures(usual_minutes, None) if usual_minutes else None
    usual = usual_minutes or divide_half_away(taught.median_minutes * 1000, taught.permille)
    return ThreeFigures(usual, divide_half_away(usual * taught.permille, 1000), taught.cases, taught.permille)


def hours_figures(kind: StageKind) -> tuple[int, int, int, float]:
    """The figures of a stage that its hours come from."""
    return (kind.fixed_minutes, kind.panel_minutes, kind.damage_minutes, kind.minutes_per_m2)

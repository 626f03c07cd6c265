"""When a car could be taken that nobody has booked in yet: three offers, each a drop-off and the half-day to tell."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from shopbook.queries.diary.odds import list_car_hours
from shopbook.queries.diary.suggest import Suggestion, read_ahead
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.board import Slot, first_slot, last_slot, slot_after
from shopbook.trade.diary.late import Half
from shopbook.trade.diary.odds import FEWEST, tenths_kept, told_half
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.promise import Promise
from shopbook.trade.planning.shapes import DraftPlan

OFFERS = 3
"""A caller remembers three."""

TRIES = 40
"""Half-days that are tried before fewer than three offers have to do."""


@dataclass(frozen=True, slots=True)
class DayOffered:
    """One offer: when the car comes, the half-day that is told, what decides it, and how many of ten of the last cars
    would have been ready by then; None while there are too few."""

    drop_off: Half
    told: Half
    why: str
    tenths: int | None


@dataclass(frozen=True, slots=True)
class Offers:
    """Three at most, the earliest first, or the `trouble` why none can be given; `cars` finished ones stand behind
    their odds."""

    offers: tuple[DayOffered, ...]
    cars: int
    trouble: str = ""


def offers_for(shop: ShopOn, draft: DraftPlan, now: datetime) -> Offers:
    """The offers for a plan; each drops off later than the one before and is told a later half-day.

    A fixed number of statements: the diary is read once, however many half-days are tried.
    """
    ahead, cars, opening = read_ahead(shop), list_car_hours(shop.session), shop.opening
    found: list[DayOffered] = []
    start = now
    for _ in range(TRIES):
        said = ahead.suggest_draft(draft, start, cars)
        if said.promise is None or len(found) == OFFERS:
            return Offers(tuple(found), len(cars), "" if found else said.trouble)
        offer = _offer(opening, said, said.promise, cars)
        if not found or last_slot(offer.told) > last_slot(found[-1].told):
            found.append(offer)
        start = _begin(opening, slot_after(opening, first_slot(offer.drop_off)))
    return Offers(tuple(found), len(cars))


def _offer(opening: OpeningHours, said: Suggestion, made: Promise, cars: Sequence[tuple[int, int]]) -> DayOffered:
    drop_off = (made.drop_off_on, str(made.drop_off_half))
    told = told_half(opening, made, said.most, len(cars))
    tenths = tenths_kept(cars, partial(_is_kept, said, told)) if len(cars) >= FEWEST else None
    return DayOffered(drop_off, told, said.sentence, tenths)


def _is_kept(said: Suggestion, told: Half, permille: int) -> bool:
    made = said.with_hours(permille) if said.with_hours else None
    return made is not None and last_slot((made.collect_on, str(made.collect_half))) <= last_slot(told)


def _begin(opening: OpeningHours, slot: Slot) -> datetime:
    """The moment when a half-day begins."""
    day, is_afternoon = slot
    if is_afternoon:
        return opening.end_of_half(day, HalfDay.MORNING)
    return opening.stretches_on(day)[0][0]

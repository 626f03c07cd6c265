"""What to order, as a small shop does it: when a set part of a pack is left, after what approved jobs still need."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.days import DateForm, near_day_words
from shopbook.trade.measures.locales import ENGLISH, write_list
from shopbook.trade.measures.quantities import format_quantity, quarter_words
from shopbook.trade.measures.units import Unit

_FEW_DAYS = 14
_FEW_WEEKS_IN_DAYS = 70


class ReorderState(StrEnum):
    """How a material stands, the worst first."""

    SHORT = "short"
    ORDER_SOON = "order soon"
    ENOUGH = "enough"


@dataclass(frozen=True, slots=True)
class Need:
    """What one approved job still takes of a material, and the day on which it does, where that is planned."""

    job: str
    quantity_thousandths: int
    needed_on: date | None = None


@dataclass(frozen=True, slots=True)
class Arrival:
    """What is on order and the day on which it should come; a day unknown covers no dated need."""

    quantity_thousandths: int
    due_on: date | None = None


@dataclass(frozen=True, slots=True)
class ShelfLevel:
    """A material as the reorder question needs it; quantities in thousandths of its unit of use.

    `threshold_quarters`: order when so many quarters of a pack are left. `used_a_day_thousandths` is the shop's own use
    by calendar day, zero while it has none. `smallest_packs` is the least that the supplier sends.
    """

    unit: Unit
    pack_thousandths: int
    pack_name: str
    on_hand_thousandths: int
    threshold_quarters: int = 4
    lead_days: int = 1
    used_a_day_thousandths: int = 0
    smallest_packs: int = 1
    locale: str = ENGLISH

    def __post_init__(self) -> None:
        if self.pack_thousandths <= 0:
            raise RuleBroken("Enter a pack size greater than zero.", "pack")
        if min(self.threshold_quarters, self.lead_days, self.used_a_day_thousandths) < 0:
            raise RuleBroken("The order level, the days and the use cannot be negative.", "threshold")
        if self.smallest_packs < 1:
            raise RuleBroken("Enter an order of at least one pack.", "smallest_packs")

    @property
    def threshold_thousandths(self) -> int:
        """The quantity at which the shop orders, rounded up so that it is never missed."""
        return -(-self.pack_thousandths * self.threshold_quarters // 4)


@dataclass(frozen=True, slots=True)
class ReorderLine:
    """What to do about one material. Quantities in thousandths; `why` is one finished sentence.

    `free_thousandths` is what is on the shelf less what approved jobs need; `order_by` is None when nothing presses.
    """

    state: ReorderState
    packs: int
    free_thousandths: int
    order_by: date | None
    due: str
    why: str
    lasts: str
    short_for: str | None = None
    short_thousandths: int = 0
    short_by_job: Mapping[str, int] = field(default_factory=dict)
    """Of each job that is short, how much of its own need is missing, the first first."""


@dataclass(frozen=True, slots=True)
class _Shortfall:
    need: Need
    missing_thousandths: int

    @property
    def own_thousandths(self) -> int:
        """What is missing of this need alone, without what the needs before it miss."""
        return min(self.missing_thousandths, self.need.quantity_thousandths)


def plan_reorder(
    shelf: ShelfLevel,
    needs: Sequence[Need],
    arrivals: Sequence[Arrival],
    today: date,
    form: DateForm = DateForm.DAY_FIRST,
) -> ReorderLine:
    """Whether to order a material today, how many packs, by when, and why.

    Short: a job will not find what it needs on its day. Order soon: what is free, with what is on order, is down to the
    shop's level. Packs lift it above the level again.
    """
    free = shelf.on_hand_thousandths - sum(need.quantity_thousandths for need in needs)
    coming = free + sum(arrival.quantity_thousandths for arrival in arrivals)
    shortfalls = list(_shortfalls(shelf, needs, arrivals))
    shortfall = shortfalls[0] if shortfalls else None
    packs = _packs(shelf, coming)
    state = ReorderState.SHORT if shortfall else ReorderState.ORDER_SOON if packs else ReorderState.ENOUGH
    order_by = _order_by(shelf, free, shortfall, today) if packs else None
    return ReorderLine(
        state=state,
        packs=packs,
        free_thousandths=free,
        order_by=order_by,
        due=_due_words(order_by, packs, shortfall, today, form),
        why=_why(shelf, needs, free, coming, shortfall, today, form),
        lasts=_lasts(shelf, free, shortfall, today, form),
        short_for=shortfall.need.job if shortfall else None,
        short_thousandths=shortfall.missing_thousandths if shortfall else 0,
        short_by_job=_by_job(shortfalls),
    )


def _by_job(shortfalls: Sequence[_Shortfall]) -> dict[str, int]:
    missing: dict[str, int] = {}
    for one in shortfalls:
        missing[one.need.job] = missing.get(one.need.job, 0) + one.own_thousandths
    return missing


def _shortfalls(shelf: ShelfLevel, needs: Sequence[Need], arrivals: Sequence[Arrival]) -> Iterator[_Shortfall]:
    """Each need, by day and undated ones last, that the shelf and what has come by then do not cover."""
    taken = 0
    for need in sorted(needs, key=lambda one: one.needed_on or date.max):
        taken += need.quantity_thousandths
        here = shelf.on_hand_thousandths + sum(
            arrival.quantity_thousandths
            for arrival in arrivals
            if need.needed_on is None or (arrival.due_on is not None and arrival.due_on <= need.needed_on)
        )
        if taken > here:
            yield _Shortfall(need, taken - max(here, 0))


def _packs(shelf: ShelfLevel, coming: int) -> int:
    if coming > shelf.threshold_thousandths:
        return 0
    return max((shelf.threshold_thousandths - coming) // shelf.pack_thousandths + 1, shelf.smallest_packs)


def _order_by(shelf: ShelfLevel, free: int, shortfall: _Shortfall | None, today: date) -> date | None:
    if shortfall:
        needed_on = shortfall.need.needed_on
        return today if needed_on is None else max(today, needed_on - timedelta(days=shelf.lead_days))
    if shelf.used_a_day_thousandths == 0:
        return None
    runs_out_in = min(max(free, 0) // shelf.used_a_day_thousandths, 3650)
    return today + timedelta(days=max(runs_out_in - shelf.lead_days, 0))


def _due_words(order_by: date | None, packs: int, shortfall: _Shortfall | None, today: date, form: DateForm) -> str:
    if not packs:
        return "chase what is on order" if shortfall else ""
    if order_by is None:
        return "with the next order"
    words = near_day_words(order_by, today, form)
    return "order today" if order_by == today else f"order by {words}"


def _why(
    shelf: ShelfLevel,
    needs: Sequence[Need],
    free: int,
    coming: int,
    shortfall: _Shortfall | None,
    today: date,
    form: DateForm,
) -> str:
    if shortfall:
        return _why_short(shelf, needs, shortfall, today, form)
    spoken = " after approved jobs" if needs else ""
    ordered = f", {_said(shelf, coming - free)} on order" if coming > free else ""
    level = (
        f"at {quarter_words(shelf.threshold_quarters)} × {shelf.pack_name}" if shelf.threshold_quarters else "at zero"
    )
    return f"{_said(shelf, free)} free{spoken}{ordered}. You order {level}."


def _said(shelf: ShelfLevel, thousandths: int) -> str:
    return format_quantity(thousandths, shelf.unit, locale=shelf.locale)


def _why_short(shelf: ShelfLevel, needs: Sequence[Need], shortfall: _Shortfall, today: date, form: DateForm) -> str:
    need, last = shortfall.need, shortfall.need.needed_on or date.max
    others = list(
        dict.fromkeys(one.job for one in needs if one.job != need.job and (one.needed_on or date.max) <= last)
    )
    job = f"After {_takers(others)}, {need.job}" if others else upper_first(need.job)
    day = f" {_on_day(need.needed_on, today, form)}" if need.needed_on else ""
    missing = _said(shelf, shortfall.missing_thousandths)
    here = _said(shelf, shelf.on_hand_thousandths)
    return f"The book says {here}. {job} is {missing} short{day}."


def _takers(jobs: Sequence[str]) -> str:
    return f"{len(jobs)} other jobs" if len(jobs) > 3 else write_list(jobs)


def _on_day(day: date, today: date, form: DateForm) -> str:
    words = near_day_words(day, today, form)
    return words if words in ("today", "tomorrow", "yesterday") else f"on {words}"


def _lasts(shelf: ShelfLevel, free: int, shortfall: _Shortfall | None, today: date, form: DateForm) -> str:
    if shortfall:
        needed_on = shortfall.need.needed_on
        return f"until {near_day_words(needed_on, today, form)}" if needed_on else "not long enough for approved jobs"
    if shelf.used_a_day_thousandths == 0:
        return ""
    days = max(free, 0) // shelf.used_a_day_thousandths
    if days < _FEW_DAYS:
        return "less than a day" if days == 0 else f"about {days} day{'s' if days > 1 else ''}"
    if days < _FEW_WEEKS_IN_DAYS:
        return f"about {(2 * days + 7) // 14} weeks"
    return f"about {(2 * days + 30) // 60} months" if days < 730 else "over 2 years"

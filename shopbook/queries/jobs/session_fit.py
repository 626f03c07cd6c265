"""Whether base and clear fit into one session with the shop's hours: no closed day between the two."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from shopbook.models.jobs import Stage
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.floor.readiness import Readiness
from shopbook.trade.floor.waits import Interval, clear_in_session, first_touch_moment
from shopbook.trade.planning.shapes import DraftWarning

LOOKS_AHEAD_DAYS = 30


def session_warnings(shop: ShopOn, stages: Iterable[tuple[Stage, Readiness]], now: datetime) -> list[DraftWarning]:
    """A sentence for each session of base and clear that can be begun next, and would have a closed day inside.

    A session whose work before it is not done yet is passed over: nobody knows its day, and a promise keeps it in one.
    """
    found = []
    for stage, readiness in stages:
        window = _window_inside(stage)
        if window is None or stage.begun_at is not None or not (readiness.can_begin or readiness.ready_at):
            continue
        sentence = session_says(shop.opening, max(now, readiness.ready_at or now), stage.planned_minutes, window)
        if sentence:
            found.append(DraftWarning("closed_day_between", f"{stage.name}: {shop.country.say(sentence)}"))
    return found


def session_says(opening: OpeningHours, start_at: datetime, minutes: int, window: tuple[int, int | None]) -> str | None:
    """What is wrong with a session of `minutes` begun at the first open moment from `start_at` on; None if nothing.

    The first half of it counts as base, the rest as clear; `window` is (not before, not after) in minutes after base.
    """
    open_hours = _open_hours(opening, start_at)
    starts_at = first_touch_moment(start_at, open_hours)
    base_at = opening.add_working_minutes(starts_at, minutes // 2)
    clear_minutes = min(minutes - minutes // 2, *(_length(stretch) for stretch in open_hours))
    return clear_in_session(base_at, window, clear_minutes, open_hours)


def _window_inside(stage: Stage) -> tuple[int, int | None] | None:
    """The wait inside a stage over which no closed day may fall; None for a stage without one."""
    kept = next((each for each in stage.coat_waits if each.is_inside and not each.is_kept_over_closed_days), None)
    return None if kept is None else (kept.not_before_minutes, kept.not_after_minutes)


def _open_hours(opening: OpeningHours, start_at: datetime) -> list[Interval]:
    """The open days ahead, each as one stretch: lunch does not part base and clear."""
    first = opening.local_day(start_at)
    days = opening.working_days(first, first + timedelta(days=LOOKS_AHEAD_DAYS))
    stretches = [opening.stretches_on(day) for day in days]
    return [(each[0][0], each[-1][1]) for each in stretches if each and each[-1][1] > start_at]


def _length(stretch: Interval) -> int:
    return int((stretch[1] - stretch[0]).total_seconds() // 60)

"""When the shop is open: its weekly hours, lunch and closed days as one value that plans and clocks reckon with."""

from collections.abc import Mapping
from datetime import date, time, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import ClosedDay
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.rates import settings_on
from shopbook.trade.diary.opening import DayHours, OpeningHours
from shopbook.trade.settings import SettingName

LOOKS_AHEAD = timedelta(days=500)


def opening_hours_on(session: Session, day: date) -> OpeningHours:
    """The weekly hours and lunch that hold on a day, with the closed days of the weeks around and ahead of it.

    Lunch is left out on a weekday whose hours do not hold all of it (a short Saturday).
    """
    return opening_hours_of(get_book(session).zone, settings_on(session, day), closed_around(session, day))


def closed_around(session: Session, day: date) -> frozenset[date]:
    """The closed days of the weeks around and ahead of a day."""
    return frozenset(
        session.scalars(
            select(ClosedDay.closed_on).where(ClosedDay.closed_on.between(day - LOOKS_AHEAD, day + LOOKS_AHEAD))
        )
    )


def opening_hours_of(zone: str, held: Mapping[SettingName, Any], closed_on: frozenset[date]) -> OpeningHours:
    """The same, of what is read already; no statement."""
    lunch = [time.fromisoformat(end) for end in held[SettingName.LUNCH] or ()]
    week = held[SettingName.OPENING_HOURS]
    hours = tuple(_hours(week.get(str(weekday)), lunch) for weekday in range(7))
    return OpeningHours(zone=zone, week=hours, closed_on=closed_on)


def _hours(ends: list[str] | None, lunch: list[time]) -> DayHours | None:
    if not ends:
        return None
    opens, closes = (time.fromisoformat(end) for end in ends)
    is_inside = len(lunch) == 2 and opens < lunch[0] and lunch[1] < closes
    return DayHours(opens, closes, lunch[0], lunch[1]) if is_inside else DayHours(opens, closes)

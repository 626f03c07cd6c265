"""When the shop is open: its weekly hours, lunch and closed days as one value that plans and clocks reckon with."""

from datetime import date, time, timedelta

from sqlalchemy.orm import Session

from shopbook.queries.shop.book import get_book, list_closed_days
from shopbook.queries.shop.rates import settings_on
from shopbook.trade.diary.opening import DayHours, OpeningHours
from shopbook.trade.settings import SettingName

LOOKS_AHEAD = timedelta(days=500)


def opening_hours_on(session: Session, day: date) -> OpeningHours:
    """The weekly hours and lunch that hold on a day, with the closed days of the weeks around and ahead of it.

    Lunch is left out on a weekday whose hours do not hold all of it (a short Saturday).
    """
    held = settings_on(session, day)
    lunch = [time.fromisoformat(end) for end in held[SettingName.LUNCH] or ()]
    week = held[SettingName.OPENING_HOURS]
    closed = list_closed_days(session, day - LOOKS_AHEAD, day + LOOKS_AHEAD)
    return OpeningHours(
        zone=get_book(session).zone,
        week=tuple(_hours(week.get(str(weekday)), lunch) for weekday in range(7)),
        closed_on=frozenset(row.closed_on for row in closed),
    )


def _hours(ends: list[str] | None, lunch: list[time]) -> DayHours | None:
    if not ends:
        return None
    opens, closes = (time.fromisoformat(end) for end in ends)
    is_inside = len(lunch) == 2 and opens < lunch[0] and lunch[1] < closes
    return DayHours(opens, closes, lunch[0], lunch[1]) if is_inside else DayHours(opens, closes)

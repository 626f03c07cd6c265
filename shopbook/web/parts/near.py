"""Days near today in words, including the past week."""

from datetime import date

from shopbook.trade.measures.days import near_day_words, weekday_name
from shopbook.web.parts.frame import country


def near_words(day: date, today: date) -> str:
    """Yesterday, Tuesday for a day within a week either way, else the date."""
    if -7 < (day - today).days < -1:
        return weekday_name(day)
    return near_day_words(day, today, country().date_form)

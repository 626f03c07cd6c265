"""A day and its half as they are said at the desk: "this afternoon", "Friday morning"."""

from datetime import date

from shopbook.trade.measures.days import DateForm, near_day_words

SHORT_HALVES = {"": "", "morning": ", am", "afternoon": ", pm"}
"""A half behind its day where there is little room; no half leaves the day alone."""


def half_day_end(day: date, half: str) -> tuple[date, bool]:
    """When a half-day is over, to be compared with another: a day without a half is over with its afternoon."""
    return day, half != "morning"


def half_day_words(day: date, half: str, today: date, form: DateForm) -> str:
    """A promised or planned half-day near `today`; an empty half leaves the day alone."""
    said = near_day_words(day, today, form)
    if not half:
        return said
    if day == today:
        return f"this {half}"
    return f"{said}, {half}" if any(sign.isdigit() for sign in said) else f"{said} {half}"

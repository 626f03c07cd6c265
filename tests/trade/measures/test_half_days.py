"""Half-days as they are said at the desk."""

from datetime import date

import pytest

from shopbook.trade.measures.days import DateForm
from shopbook.trade.measures.half_days import half_day_end, half_day_words

THURSDAY = date(2026, 11, 5)


@pytest.mark.parametrize(
    ("day", "half", "said"),
    [
        (THURSDAY, "afternoon", "this afternoon"),
        (THURSDAY, "", "today"),
        (date(2026, 11, 6), "morning", "tomorrow morning"),
        (date(2026, 11, 9), "afternoon", "Monday afternoon"),
        (date(2026, 11, 9), "", "Monday"),
        (date(2026, 11, 19), "morning", "19 Nov, morning"),
    ],
)
def test_a_half_day_is_said_as_one_says_it(day: date, half: str, said: str) -> None:
    assert half_day_words(day, half, THURSDAY, DateForm.DAY_FIRST) == said


def test_a_day_without_a_half_is_over_with_its_afternoon_and_after_its_morning() -> None:
    morning, afternoon, whole = (half_day_end(date(2026, 11, 5), half) for half in ("morning", "afternoon", ""))
    assert morning < afternoon == whole < half_day_end(date(2026, 11, 6), "morning")

"""Whether a plan keeps what was told: half-days against each other, and how it is said."""

from dataclasses import replace
from datetime import UTC, date, datetime

from shopbook.trade.diary.late import late_car
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.diary.promise import Promise
from shopbook.trade.measures.days import DateForm

WEDNESDAY, THURSDAY = date(2026, 11, 4), date(2026, 11, 5)
MADE = Promise(
    (), WEDNESDAY, HalfDay.MORNING, datetime(2026, 11, 4, 15, tzinfo=UTC), WEDNESDAY, HalfDay.AFTERNOON, (), ()
)


def test_promised_for_wednesday_afternoon_is_kept_by_wednesday_afternoon_and_late_by_thursday_morning() -> None:
    told = (WEDNESDAY, "afternoon")
    assert late_car(told, MADE) is None
    late = late_car(told, replace(MADE, collect_on=THURSDAY, collect_half=HalfDay.MORNING), "the paint has to cure")
    assert late is not None
    assert late.told_words(date(2026, 11, 2), DateForm.DAY_FIRST) == "Wednesday afternoon"
    assert late.tag_words(date(2026, 11, 2), DateForm.DAY_FIRST) == "will be late: ready Thursday morning"
    assert late.why == "the paint has to cure"


def test_a_day_without_a_half_is_kept_until_its_end_and_its_morning_until_noon() -> None:
    assert late_car((WEDNESDAY, ""), MADE) is None
    assert late_car((WEDNESDAY, "morning"), MADE) is not None


def test_without_a_plan_left_to_place_nothing_is_said() -> None:
    assert late_car((WEDNESDAY, "morning"), None) is None

"""Whether a car can go out as promised, and how that is said: one rule for every page that shows the car."""

from dataclasses import dataclass
from datetime import date

from shopbook.trade.diary.promise import Promise
from shopbook.trade.measures.days import DateForm
from shopbook.trade.measures.half_days import half_day_end, half_day_words

Half = tuple[date, str]
"""A day and "morning", "afternoon" or "" for any time of it."""


@dataclass(frozen=True, slots=True)
class LateCar:
    """A car that cannot go out as promised: the half-day told, the one by which it is ready, and why."""

    told: Half
    ready: Half
    why: str

    def told_words(self, today: date, form: DateForm) -> str:
        """What the customer was told: "Wednesday afternoon"."""
        return half_day_words(*self.told, today, form)

    def ready_words(self, today: date, form: DateForm) -> str:
        """When it is ready as its plan stands now: "Thursday morning"."""
        return half_day_words(*self.ready, today, form)

    def tag_words(self, today: date, form: DateForm) -> str:
        """The same figure on every page: "will be late: ready Thursday morning"."""
        return f"will be late: ready {self.ready_words(today, form)}"


def late_car(told: Half, made: Promise | None, why: str = "") -> LateCar | None:
    """What was told against the plan as it is placed now; None where it can be kept, or no plan is left to place.

    Promised for Wednesday afternoon: ready by Wednesday afternoon is kept, by Thursday morning is late. A promise
    without a half is kept until the end of its day.
    """
    if made is None or half_day_end(made.collect_on, made.collect_half) <= half_day_end(*told):
        return None
    return LateCar(told, (made.collect_on, str(made.collect_half)), why)

"""Fixed costs (rent, insurance, power) spread over months and days, so that the parts add up to what is paid."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted


class Per(StrEnum):
    """What a fixed cost is paid for."""

    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"

    @property
    def months(self) -> int:
        """How many months it lasts."""
        return {Per.MONTH: 1, Per.QUARTER: 3, Per.YEAR: 12}[self]


PER_WORDS = {Per.MONTH: "per month", Per.QUARTER: "per quarter", Per.YEAR: "per year"}


@dataclass(frozen=True, slots=True)
class FixedCost:
    """What the shop pays whether a car is mended or not; without tax where the shop reclaims it.

    It applies from a day, and until another (included) where that is known.
    """

    name: str
    amount_minor: int
    per: Per
    from_on: date
    until_on: date | None = None

    def month_share_minor(self, month: str) -> int:
        """The whole month's part. Months follow the calendar's quarters and years, and each takes what rounding left
        over so far: 1,000.00 a year is 83.33, 83.34, 83.33 … and 1,000.00 from January to December."""
        place = (int(month[5:]) - 1) % self.per.months
        return _so_far(self.amount_minor, place + 1, self.per.months) - _so_far(
            self.amount_minor, place, self.per.months
        )

    def share_minor(self, first: date, last: date) -> int:
        """Its part of the days from `first` to `last`, both included, in minor units.

        A month of which it holds some days counts by these: rent of 3,000.00 a month from November 16 is 1,500.00 of
        November. Days side by side add up to their month.
        """
        begins, ends = max(first, self.from_on), min(last, self.until_on or last)
        return sum(self._of_month(month, begins, ends) for month in _months(begins, ends))

    def _of_month(self, month: str, begins: date, ends: date) -> int:
        opens, closes = month_bounds(month)
        share, days = self.month_share_minor(month), closes.day
        before = max(begins, opens).day - 1
        return _so_far(share, min(ends, closes).day, days) - _so_far(share, before, days)


def _so_far(amount_minor: int, part: int, whole: int) -> int:
    return divide_half_away(amount_minor * part, whole)


def _months(first: date, last: date) -> Sequence[str]:
    found, month = [], month_of(first)
    while first <= last and month <= month_of(last):
        found.append(month)
        month = month_shifted(month, 1)
    return found

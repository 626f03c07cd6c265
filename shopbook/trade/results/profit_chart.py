"""What a chart of several months shows: which months, and an axis that holds zero; whole minor units alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from shopbook.trade.measures.days import month_of, month_shifted

MOST_STEPS = 5
"""So many steps at most above and below zero together, before the last is rounded up."""


@dataclass(frozen=True, slots=True)
class MonthProfit:
    """One month: its name as it is shown, gross profit and net profit before tax, in minor units.

    The net profit is None where it is not known.
    """

    name: str
    gross_minor: int
    net_minor: int | None = None

    @property
    def amounts(self) -> tuple[int, ...]:
        return (self.gross_minor,) if self.net_minor is None else (self.gross_minor, self.net_minor)


@dataclass(frozen=True, slots=True)
class Axis:
    """From `low_minor` (zero or below) to `high_minor` (zero or above), both whole steps."""

    low_minor: int
    high_minor: int
    step_minor: int

    @property
    def ticks(self) -> tuple[int, ...]:
        """Every step from low to high; zero is one of them."""
        return tuple(range(self.low_minor, self.high_minor + 1, self.step_minor))


def charted_months(month: str, first_on: date | None, count: int = 6) -> list[str]:
    """The months up to this one, `count` at most, the oldest first; none before the shop's first act.

    A shop whose first act was on Sep 3, asked for November: 2026-09, 2026-10, 2026-11. The month asked for is always
    one of them.
    """
    months = [month_shifted(month, -back) for back in range(count - 1, -1, -1)]
    begun = month_of(first_on) if first_on else month
    return [each for each in months if each >= begun] or [month]


def axis_of(rows: Iterable[MonthProfit], unit_minor: int = 100) -> Axis:
    """The axis for these months: steps of 1, 2 or 5 times a power of ten, at least `unit_minor`, that hold them all.

    From −1,900.00 to 17,300.00: steps of 5,000.00 from −5,000.00 to 20,000.00. All zero: from zero to one unit.
    """
    amounts = [0, *(amount for row in rows for amount in row.amounts)]
    low, high = min(amounts), max(amounts)
    if low == high:
        return Axis(0, unit_minor, unit_minor)
    step = _step(-(-(high - low) // MOST_STEPS), unit_minor)
    return Axis(low // step * step, -(-high // step) * step, step)


def _step(least: int, unit_minor: int) -> int:
    power = unit_minor
    while True:
        for factor in (1, 2, 5):
            if factor * power >= least:
                return factor * power
        power *= 10

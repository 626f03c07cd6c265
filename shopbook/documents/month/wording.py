"""How the parts of a month are written: its days and names, amounts, and the words of the shop's country."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MonthWording:
    """What every part of the month is written with.

    `money` writes minor units without the currency's sign, as in rows, `sum_of` with it, as in sentences. `month` and
    `next_month` are names ("November"), `first` and `last` days ("November 1", "November 30"). `say` puts a sentence of
    ours into the words of the shop's country.
    """

    month: str
    next_month: str
    first: str
    last: str
    money: Callable[[int], str]
    sum_of: Callable[[int], str]
    say: Callable[[str], str] = str

    def less(self, minor: int) -> str:
        """An amount that is taken off: 508.00 is "−508.00"."""
        return self.money(-minor)


_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def in_words(count: int) -> str:
    """A number as a sentence says it: "four", "17"."""
    return _SMALL[count] if 0 <= count < len(_SMALL) else str(count)


def counted(count: int, one: str) -> str:
    """A count with its noun: "1 car", "5 cars"."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def listed(numbers: Sequence[str]) -> str:
    """The numbers of jobs as they are read: "47 and 58"."""
    return " and ".join([", ".join(numbers[:-1]), numbers[-1]] if len(numbers) > 1 else numbers)

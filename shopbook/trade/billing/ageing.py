"""What is owed by age, counted in days past the day it was due."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class AgeBand(StrEnum):
    """Days past due: not yet due, then by thirty days."""

    CURRENT = "current"
    TO_30 = "1-30"
    TO_60 = "31-60"
    TO_90 = "61-90"
    OVER_90 = "over 90"


_LAST_DAYS = ((0, AgeBand.CURRENT), (30, AgeBand.TO_30), (60, AgeBand.TO_60), (90, AgeBand.TO_90))


@dataclass(frozen=True, slots=True)
class OwedRow:
    """What one payer still owes of one paper; negative for money on account that is set against nothing yet."""

    payer: str
    due_on: date
    owed_minor: int


@dataclass(frozen=True, slots=True)
class Ageing:
    """Sums by band in their order; `on_account_minor` (as a positive sum) is held for payers and in no band."""

    by_band: dict[AgeBand, int]
    on_account_minor: int

    @property
    def owed_minor(self) -> int:
        """The sum of all bands, before credits."""
        return sum(self.by_band.values())

    @property
    def total_minor(self) -> int:
        return self.owed_minor - self.on_account_minor

    @property
    def overdue_minor(self) -> int:
        return self.owed_minor - self.by_band[AgeBand.CURRENT]


def age_band(due_on: date, day: date) -> AgeBand:
    """The band on `day`; what is due that very day is current."""
    late = (day - due_on).days
    return next((band for last, band in _LAST_DAYS if late <= last), AgeBand.OVER_90)


def owed_by_age(rows: Iterable[OwedRow], day: date) -> Ageing:
    """The sums of all `rows` by age on `day`."""
    sums, on_account = dict.fromkeys(AgeBand, 0), 0
    for row in rows:
        if row.owed_minor < 0:
            on_account -= row.owed_minor
        else:
            sums[age_band(row.due_on, day)] += row.owed_minor
    return Ageing(sums, on_account)


def owed_by_payer(rows: Iterable[OwedRow], day: date) -> list[tuple[str, Ageing]]:
    """The same for each payer that owes or has something on account, the most overdue first, then by name."""
    by_payer: dict[str, list[OwedRow]] = {}
    for row in rows:
        if row.owed_minor:
            by_payer.setdefault(row.payer, []).append(row)
    aged = [(payer, owed_by_age(own, day)) for payer, own in by_payer.items()]
    return sorted(aged, key=lambda pair: (-pair[1].overdue_minor, -pair[1].total_minor, pair[0]))

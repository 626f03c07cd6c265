"""What comes first this morning: three jobs at most, each with the one reason that is most pressing.

Today asks `first_of`; which press a row gets is decided where it is shown, with the words of `next_act`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

AT_MOST = 3
"""Whoever has ten seconds reads three rows."""

PICKUP_AHEAD = timedelta(hours=2)
"""So long before a pickup what is still missing for it can be done."""


class Reason(StrEnum):
    """Why a job comes first, the most pressing on top."""

    BROKEN = "broken"
    UNMET = "unmet"
    PICKUP = "pickup"
    STOPPED = "stopped"
    MONEY = "money"


_RANK = list(Reason)


@dataclass(frozen=True, slots=True)
class Pressing:
    """The facts of one job that may bring it to the top; every one of them may be missing.

    `promised_until` is the end of the promised half-day of a car that is here and not ready, `ready_by` the end of
    the half-day for which it could be promised now (None: no day can be said). `pickup_at` is when a car that is
    ready is fetched at the latest, `lacks` what is still missing for that. `stopped_by` names the part or material
    that the next stage waits for, `overdue_minor` is overdue of the job, with tax.
    """

    number: int
    promised_until: datetime | None = None
    ready_by: datetime | None = None
    pickup_at: datetime | None = None
    lacks: str = ""
    stopped_by: str = ""
    overdue_minor: int = 0


@dataclass(frozen=True, slots=True)
class FirstJob:
    """One row: the job by its number, and why it stands here."""

    number: int
    reason: Reason


def first_of(jobs: Iterable[Pressing], now: datetime, day_ends: datetime) -> tuple[FirstJob, ...]:
    """The first three at most, one a job; `day_ends` is the end of the shop's day.

    Promises broken come first, the oldest on top; then promises of today that will not be met; pickups within two
    hours with something missing; stages stopped for a part or material, the one promised earliest on top; money
    overdue, the largest sum on top. At 8:10 am, with 60 promised on Friday, 64 promised for this afternoon and ready
    tomorrow, 58 fetched at 10:00 without an invoice and 2,123.34 overdue on 51: 60, 64, 58. A job of several is named
    once, with the most pressing reason: 60 with 900.00 overdue is a broken promise and no second row.
    """
    found = [
        (_RANK.index(reason), _within(job, reason), job.number, reason)
        for job in jobs
        if (reason := _why(job, now, day_ends))
    ]
    return tuple(FirstJob(number, reason) for *_, number, reason in sorted(found)[:AT_MOST])


def _why(job: Pressing, now: datetime, day_ends: datetime) -> Reason | None:
    """The most pressing reason of one job, or None."""
    checks = {
        Reason.BROKEN: job.promised_until is not None and job.promised_until < now,
        Reason.UNMET: _is_unmet(job, day_ends),
        Reason.PICKUP: bool(job.lacks) and job.pickup_at is not None and job.pickup_at - now <= PICKUP_AHEAD,
        Reason.STOPPED: bool(job.stopped_by),
        Reason.MONEY: job.overdue_minor > 0,
    }
    return next((reason for reason, holds in checks.items() if holds), None)


def _is_unmet(job: Pressing, day_ends: datetime) -> bool:
    """Promised for today, and ready later or on no day that can be said."""
    until = job.promised_until
    return until is not None and until <= day_ends and (job.ready_by is None or job.ready_by > until)


def _within(job: Pressing, reason: Reason) -> float:
    """The place among those of the same reason: moments as they come, sums from the largest."""
    if reason is Reason.MONEY:
        return -job.overdue_minor
    moment = job.pickup_at if reason is Reason.PICKUP else job.promised_until
    return moment.timestamp() if moment else float("inf")

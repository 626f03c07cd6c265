"""A press that reached the book later than it was made: the moment from which it counts."""

from collections.abc import Iterable
from datetime import datetime, timedelta

LATE_FROM = timedelta(minutes=1)
"""Times are said to the minute: a press that waited for less arrived when it was made."""

SET_BY_HAND_FROM = timedelta(hours=12)
"""A phone that was away for longer, over a night or a flat battery, is asked: a person sets the time of the press."""

TOLD_BY_HAND_FROM = timedelta(days=29)
"""A day before the keys of acts are forgotten: a press as old as that may have been done, and nobody could tell."""


def counts_from(arrived_at: datetime, waited: timedelta, not_before: Iterable[datetime]) -> datetime:
    """The moment of a press: its arrival less the time that it waited, by the phone's running clock.

    Never before any of `not_before` (the page was given, the first day of an open month, what was written on the same
    clock since), and never after it arrived. Pressed at 9:02 it waited 39 min and arrived at 9:41: it counts from 9:02;
    the page was given at 9:10: from 9:10. A phone's clock may be hours wrong, only its running counts.
    """
    if waited < LATE_FROM:
        return arrived_at
    return min(max(arrived_at - waited, *not_before), arrived_at)

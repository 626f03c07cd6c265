"""Where a job stands, read from its stored moments and never kept as a word, and how that is said."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Standing(StrEnum):
    """The eight states of a job, in the order in which it passes them."""

    BOOKED = "booked"
    QUOTED = "quoted"
    AGREED = "agreed"
    IN_WORK = "in_work"
    READY = "ready"
    HANDED_OVER = "handed_over"
    SETTLED = "settled"
    CALLED_OFF = "called_off"


STANDING_WORDS: dict[Standing, str] = {
    Standing.BOOKED: "booked in",
    Standing.QUOTED: "quoted",
    Standing.AGREED: "approved",
    Standing.IN_WORK: "in progress",
    Standing.READY: "ready",
    Standing.HANDED_OVER: "handed over",
    Standing.SETTLED: "settled",
    Standing.CALLED_OFF: "{cancelled}",
}

STANDING_TAGS: dict[Standing, str] = {
    Standing.BOOKED: "",
    Standing.QUOTED: "warn",
    Standing.AGREED: "",
    Standing.IN_WORK: "wait",
    Standing.READY: "good",
    Standing.HANDED_OVER: "warn",
    Standing.SETTLED: "good",
    Standing.CALLED_OFF: "",
}
"""How a tag of the standing is drawn: good, wait, warn or plain."""


@dataclass(frozen=True, slots=True)
class Moments:
    """The moments of a job that its standing is read from.

    `quoted_at` is when the customer was sent, told or shown the current price. `is_paid_for` is False for our own car,
    goodwill and a comeback: nobody is quoted a price for them and nobody approves one.
    """

    quoted_at: datetime | None = None
    agreed_at: datetime | None = None
    begun_at: datetime | None = None
    ready_at: datetime | None = None
    handed_over_at: datetime | None = None
    settled_at: datetime | None = None
    called_off_at: datetime | None = None
    is_paid_for: bool = True


def standing_of(moments: Moments) -> Standing:
    """The last thing that happened to a job. Payment before the car leaves changes nothing here.

    A car without a price is booked in, not quoted. A price of 480.00 that was saved at the car on Monday and sent on
    Wednesday is quoted from Wednesday; of a comeback it never is.
    """
    if moments.called_off_at is not None:
        return Standing.CALLED_OFF
    if moments.handed_over_at is not None:
        return Standing.HANDED_OVER if moments.settled_at is None else Standing.SETTLED
    if moments.ready_at is not None:
        return Standing.READY
    if moments.begun_at is not None:
        return Standing.IN_WORK
    return _before_work(moments)


def _before_work(moments: Moments) -> Standing:
    if not moments.is_paid_for:
        return Standing.BOOKED
    if moments.agreed_at is not None:
        return Standing.AGREED
    return Standing.BOOKED if moments.quoted_at is None else Standing.QUOTED

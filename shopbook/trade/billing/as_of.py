"""On which day money counts against a paper, so that what was owed on a past day is the same a year later."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date


@dataclass(frozen=True, slots=True)
class SetLine:
    """So much of a payment set against a payer's share of a paper, or below zero taken off it, and when it counts.

    Money that was set against a paper as it was taken counts on the day it came; later, on the day it was set; taken
    off because it went back, on the day it went. A payment of Nov 29 that is entered on Dec 2 is not owed on Nov 30.
    """

    allocation_id: int
    payment_id: int
    paper_id: int
    customer_id: int | None
    kind: str
    is_money: bool
    amount_minor: int
    counts_on: date
    issued_on: date
    """The day of the paper."""


def in_order(lines: Iterable[SetLine]) -> list[SetLine]:
    """The lines in their order; none counts before an earlier one of the same payment and share, so that nothing is
    taken off before it was there."""
    last: dict[tuple[int, int, int | None], date] = {}
    found = []
    for line in lines:
        key = (line.payment_id, line.paper_id, line.customer_id)
        last[key] = max(last.get(key, line.counts_on), line.counts_on)
        found.append(replace(line, counts_on=last[key]))
    return found

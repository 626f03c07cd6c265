"""The value of the shelf over some days, summed from what moved on each of them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from shopbook.trade.results.month import StockSums
from shopbook.trade.stock.movements import MovementKind


@dataclass(frozen=True, slots=True)
class MovedValue:
    """The value of the movements of one kind on one day, for jobs or for none, in minor units."""

    on: date
    kind: MovementKind
    is_job: bool
    value_minor: int


def sum_moved(rows: Iterable[MovedValue], closing_minor: int) -> StockSums:
    """The rows of some days summed by kind; `closing_minor` is what the shelf was worth at their end.

    Received 100.00, issued 30.00 to jobs and 10.00 as shop supplies, worth 260.00 at the end: it opened with 200.00.
    """
    by: dict[tuple[MovementKind, bool], int] = defaultdict(int)
    for row in rows:
        by[row.kind, row.is_job] += row.value_minor
    kind = MovementKind

    def total(*kinds: MovementKind) -> int:
        return sum(by.get((one, is_job), 0) for one in kinds for is_job in (True, False))

    issued = (kind.ISSUED, kind.RETURNED_FROM_STAGE)
    return StockSums(
        opening_minor=closing_minor - sum(by.values()),
        began_minor=total(kind.OPENED),
        received_minor=total(kind.RECEIVED, kind.RETURNED_TO_SUPPLIER),
        corrected_minor=total(kind.PRICE_CORRECTED),
        counted_up_minor=total(kind.COUNTED_UP),
        issued_to_jobs_minor=-sum(by.get((one, True), 0) for one in issued),
        issued_to_supplies_minor=-sum(by.get((one, False), 0) for one in issued),
        variance_minor=-total(kind.TRUE_UP, kind.VARIANCE),
        wasted_minor=-total(kind.WASTED),
        counted_down_minor=-total(kind.COUNTED_DOWN),
        closing_minor=closing_minor,
    )

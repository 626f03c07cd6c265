"""The shelf over some days is what it was worth at their end, less what moved."""

from datetime import date

from shopbook.trade.results.moved_stock import MovedValue, sum_moved
from shopbook.trade.stock.movements import MovementKind

DAY = date(2026, 11, 3)


def test_received_100_and_issued_40_worth_260_at_the_end_opened_with_200() -> None:
    rows = [
        MovedValue(DAY, MovementKind.RECEIVED, is_job=False, value_minor=10_000),
        MovedValue(DAY, MovementKind.ISSUED, is_job=True, value_minor=-3_500),
        MovedValue(date(2026, 11, 4), MovementKind.RETURNED_FROM_STAGE, is_job=True, value_minor=500),
        MovedValue(DAY, MovementKind.ISSUED, is_job=False, value_minor=-1_000),
    ]
    found = sum_moved(rows, 26_000)
    assert (found.opening_minor, found.received_minor, found.closing_minor) == (20_000, 10_000, 26_000)
    assert (found.issued_to_jobs_minor, found.issued_to_supplies_minor, found.gap_minor) == (3_000, 1_000, 0)


def test_a_shelf_on_which_nothing_moved_closes_as_it_opened() -> None:
    found = sum_moved([], 26_000)
    assert (found.opening_minor, found.closing_minor, found.gap_minor) == (26_000, 26_000, 0)

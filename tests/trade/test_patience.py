"""How long a wrong PIN waits, whatever the clock does meanwhile."""

from datetime import UTC, datetime, timedelta

import pytest

from shopbook.trade.patience import LONGEST, wait_before_try

NOON = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)


def test_the_first_tries_are_free_and_each_later_one_waits_longer() -> None:
    waits = [wait_before_try(wrong, NOON, NOON).total_seconds() for wrong in range(1, 12)]
    assert waits == [0, 0, 1, 2, 4, 8, 16, 32, 64, 120, 120]


def test_a_wait_runs_out() -> None:
    assert wait_before_try(5, NOON, NOON + timedelta(seconds=3)) == timedelta(seconds=1)
    assert wait_before_try(50, NOON, NOON + LONGEST) == timedelta(0)


@pytest.mark.parametrize("back", [timedelta(hours=1), timedelta(days=400)])
def test_a_clock_put_back_makes_no_wait_longer_than_it_was(back: timedelta) -> None:
    assert wait_before_try(3, NOON, NOON - back) == timedelta(seconds=1)
    assert wait_before_try(50, NOON, NOON - back) == LONGEST

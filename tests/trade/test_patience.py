"""How long a wrong PIN waits, whatever the clock does meanwhile."""

from datetime import UTC, datetime, timedelta

import pytest

from shopbook.trade.patience import LONGEST, place_of, wait_before_try

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


@pytest.mark.parametrize(
    ("address", "place"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("2001:db8:0:7::1", "2001:db8:0:7::"),
        ("2001:db8:0:7:ffff::2", "2001:db8:0:7::"),
        ("fe80::1%eth0", "fe80::"),
        ("::1", "::1"),
        ("unknown", "unknown"),
    ],
)
def test_a_place_on_the_network_is_an_address_or_the_half_of_one_that_its_machine_did_not_draw(
    address: str, place: str
) -> None:
    assert place_of(address) == place

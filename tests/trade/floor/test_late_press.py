"""From when a press counts that reached the book late: the worked example of the developers' guide."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.floor.late_press import LATE_FROM, counts_from
from tests.makers.floor import at


def minutes(count: int) -> timedelta:
    return timedelta(minutes=count)


@pytest.mark.parametrize(
    ("not_before", "counts"),
    [
        (["8:30"], "9:02"),  # the page was given at 8:30
        (["9:10"], "9:10"),  # never before the page was given
        (["8:30", "9:20"], "9:20"),  # its clock was written meanwhile
        (["8:30", "10:00"], "9:41"),  # never after it arrived
    ],
)
def test_pressed_at_9_02_it_waited_39_minutes_and_arrived_at_9_41(not_before: list[str], counts: str) -> None:
    assert counts_from(at("9:41"), minutes(39), map(at, not_before)) == at(counts)


def test_under_a_minute_a_press_counts_from_its_arrival() -> None:
    assert counts_from(at("9:41"), LATE_FROM - timedelta(seconds=1), [at("8:30")]) == at("9:41")
    assert counts_from(at("9:41"), LATE_FROM, [at("8:30")]) == at("9:40")


@given(st.integers(0, 100_000), st.integers(-50_000, 50_000))
def test_no_wait_moves_a_press_behind_its_page_or_past_its_arrival(waited: int, given_ago: int) -> None:
    arrived: datetime = at("9:41")
    page = arrived - timedelta(seconds=given_ago)
    found = counts_from(arrived, timedelta(seconds=waited), [page])
    assert min(page, arrived) <= found <= arrived

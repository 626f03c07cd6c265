"""The months of a chart and its axis."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.results.profit_chart import MOST_STEPS, Axis, MonthProfit, axis_of, charted_months


def test_there_is_no_month_before_the_shops_first_act() -> None:
    assert charted_months("2026-11", date(2026, 9, 3)) == ["2026-09", "2026-10", "2026-11"]
    assert charted_months("2026-11", date(2020, 1, 1)) == [f"2026-{month:02d}" for month in range(6, 12)]
    assert charted_months("2026-02", date(2020, 1, 1))[0] == "2025-09"


def test_the_first_month_of_the_shop_stands_alone() -> None:
    assert charted_months("2026-11", date(2026, 11, 30)) == ["2026-11"]
    assert charted_months("2026-10", date(2026, 11, 30)) == ["2026-10"]
    assert charted_months("2026-10", None) == ["2026-10"]


@pytest.mark.parametrize(
    ("amounts", "axis"),
    [
        ((1_730_000, -190_000), Axis(-500_000, 2_000_000, 500_000)),
        ((-20_000, -153_000), Axis(-200_000, 0, 50_000)),
        ((0, 0), Axis(0, 100, 100)),
        ((83_000, 2_000), Axis(0, 100_000, 20_000)),
        ((150, 20), Axis(0, 200, 100)),
    ],
)
def test_the_axis_has_round_steps_and_holds_zero(amounts: tuple[int, int], axis: Axis) -> None:
    assert axis_of([MonthProfit("Nov", *amounts)]) == axis
    assert 0 in axis.ticks


@given(st.lists(st.tuples(st.integers(-(10**12), 10**12), st.integers(-(10**12), 10**12)), max_size=6))
def test_every_amount_lies_on_the_axis_which_has_few_steps(amounts: list[tuple[int, int]]) -> None:
    axis = axis_of([MonthProfit("Nov", *pair) for pair in amounts])
    assert 0 in axis.ticks
    assert len(axis.ticks) <= MOST_STEPS + 3
    assert all(axis.low_minor <= amount <= axis.high_minor for pair in amounts for amount in pair)

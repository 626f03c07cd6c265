"""A sum shared out over rests: exactly, within each rest, and never to one that has nothing left."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.billing.shares import share_within


def test_a_unit_left_over_never_goes_to_a_part_that_has_nothing_left() -> None:
    """1 over rests of 0, 1 and 1: the first has nothing left to take it, of the two others the first gets it."""
    assert share_within(1, [0, 1, 1]) == [0, 1, 0]
    assert share_within(2, [0, 3, 0, 4]) == [0, 1, 0, 1]


def test_units_left_over_go_to_the_largest_cut_the_first_of_equals() -> None:
    """5 over 1, 4 and 6 are 0.45, 1.82 and 2.73: 0, 1 and 2, then one each to .82 and .73."""
    assert share_within(5, [1, 4, 6]) == [0, 2, 3]
    assert share_within(1, [1, 1, 1]) == [1, 0, 0]


@given(st.lists(st.integers(0, 50), min_size=1, max_size=8), st.data())
def test_no_part_passes_its_rest_and_all_of_it_is_given(rests: list[int], data: st.DataObject) -> None:
    total = data.draw(st.integers(0, sum(rests)))
    parts = share_within(total, rests)
    assert sum(parts) == total
    assert all(0 <= part <= rest for part, rest in zip(parts, rests, strict=True))


@pytest.mark.parametrize(("total", "rests"), [(-1, [1, 2]), (4, [1, 2]), (1, []), (1, [0])])
def test_more_than_there_is_or_less_than_nothing_is_refused(total: int, rests: list[int]) -> None:
    with pytest.raises(ValueError, match="cannot be shared"):
        share_within(total, rests)


def test_all_of_it_and_nothing_of_it_can_be_shared() -> None:
    assert share_within(3, [1, 2]) == [1, 2]
    assert share_within(0, [1, 2]) == [0, 0]
    assert share_within(0, [0, 0]) == [0, 0]

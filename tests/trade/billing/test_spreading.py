"""One payment over several invoices: the oldest first, and never more than is owed."""

import pytest

from shopbook.trade.billing.spreading import left_over, spread_oldest_first
from shopbook.trade.errors import RuleBroken

OWED = [30000, 45000, 27531]


@pytest.mark.parametrize(
    ("amount", "parts"),
    [
        (90000, [30000, 45000, 15000]),
        (110000, [30000, 45000, 27531]),
        (12000, [12000, 0, 0]),
        (0, [0, 0, 0]),
        (-5, [0, 0, 0]),
    ],
)
def test_the_oldest_is_paid_first(amount: int, parts: list[int]) -> None:
    assert spread_oldest_first(amount, OWED) == parts


def test_a_sum_that_is_below_zero_takes_nothing() -> None:
    assert spread_oldest_first(100, [-20, 60]) == [0, 60]


def test_what_is_left_over_is_said() -> None:
    assert left_over(110000, OWED) == 7469


@pytest.mark.parametrize(
    ("amount", "parts", "field"), [(100, [101], "amount"), (100, [0, 0], "rows"), (100, [-1, 5], "rows")]
)
def test_parts_that_do_not_fit_are_refused(amount: int, parts: list[int], field: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        left_over(amount, parts)
    assert refusal.value.field == field

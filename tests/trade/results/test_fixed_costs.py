"""Fixed costs over months, quarters and years: the parts add up to what is paid."""

from datetime import date, timedelta
from random import Random

import pytest

from shopbook.trade.results.fixed_costs import FixedCost, Per

YEAR = [f"2026-{month:02d}" for month in range(1, 13)]
ALWAYS = date(2020, 1, 1)


@pytest.mark.parametrize("amount", [100_000, 1, 7, 120_001, 999_999])
def test_a_years_months_add_up_to_the_year(amount: int) -> None:
    shares = [FixedCost("Insurance", amount, Per.YEAR, ALWAYS).month_share_minor(month) for month in YEAR]
    assert sum(shares) == amount
    assert max(shares) - min(shares) <= 1


def test_a_thousand_a_year_is_83_33_or_83_34_a_month() -> None:
    cost = FixedCost("Insurance", 100_000, Per.YEAR, ALWAYS)
    assert [cost.month_share_minor(month) for month in YEAR[:4]] == [8_333, 8_334, 8_333, 8_333]


def test_a_quarters_months_add_up_to_the_quarter_wherever_it_begins_to_apply() -> None:
    cost = FixedCost("Water", 10_000, Per.QUARTER, date(2026, 2, 1))
    shares = [cost.month_share_minor(month) for month in YEAR]
    assert [sum(shares[place : place + 3]) for place in (0, 3, 6, 9)] == [10_000] * 4
    assert cost.share_minor(date(2026, 1, 1), date(2026, 3, 31)) == sum(shares[1:3])


def test_rent_from_the_middle_of_a_month_counts_by_days() -> None:
    rent = FixedCost("Rent", 300_000, Per.MONTH, date(2026, 11, 16))
    assert rent.share_minor(date(2026, 11, 1), date(2026, 11, 30)) == 150_000
    assert rent.share_minor(date(2026, 12, 1), date(2026, 12, 31)) == 300_000
    assert rent.share_minor(date(2026, 10, 1), date(2026, 10, 31)) == 0


def test_a_cost_that_ended_counts_its_last_day() -> None:
    rent = FixedCost("Rent", 300_000, Per.MONTH, ALWAYS, date(2026, 11, 15))
    assert rent.share_minor(date(2026, 11, 1), date(2026, 11, 30)) == 150_000
    assert rent.share_minor(date(2026, 12, 1), date(2026, 12, 31)) == 0


def test_a_new_rent_the_day_after_the_old_one_leaves_no_gap() -> None:
    old = FixedCost("Rent", 100_003, Per.YEAR, ALWAYS, date(2026, 3, 9))
    new = FixedCost("Rent", 100_003, Per.YEAR, date(2026, 3, 10))
    year = date(2026, 1, 1), date(2026, 12, 31)
    assert old.share_minor(*year) + new.share_minor(*year) == 100_003


def test_days_side_by_side_add_up_however_they_are_cut() -> None:
    draw = Random(11)
    for _ in range(200):
        cost = FixedCost("Any", draw.randrange(1, 900_000), draw.choice(list(Per)), ALWAYS)
        first = date(2026, 1, 1) + timedelta(days=draw.randrange(300))
        middle, last = first + timedelta(days=draw.randrange(60)), first + timedelta(days=60 + draw.randrange(400))
        parts = cost.share_minor(first, middle) + cost.share_minor(middle + timedelta(days=1), last)
        assert parts == cost.share_minor(first, last)

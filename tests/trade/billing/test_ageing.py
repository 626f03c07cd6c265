"""Owed by age: edges of the bands, money on account, and the order of payers."""

from datetime import date

import pytest

from shopbook.trade.billing.ageing import AgeBand, OwedRow, age_band, owed_by_age, owed_by_payer

DAY = date(2026, 3, 31)


@pytest.mark.parametrize(
    ("due_on", "band"),
    [
        (date(2026, 4, 30), AgeBand.CURRENT),
        (DAY, AgeBand.CURRENT),
        (date(2026, 3, 30), AgeBand.TO_30),
        (date(2026, 3, 1), AgeBand.TO_30),
        (date(2026, 2, 28), AgeBand.TO_60),
        (date(2026, 1, 30), AgeBand.TO_60),
        (date(2026, 1, 29), AgeBand.TO_90),
        (date(2025, 12, 31), AgeBand.TO_90),
        (date(2025, 12, 30), AgeBand.OVER_90),
    ],
)
def test_a_band_is_counted_in_days_past_due(due_on: date, band: AgeBand) -> None:
    assert age_band(due_on, DAY) is band


def test_money_on_account_is_in_no_band_and_comes_off_the_total() -> None:
    aged = owed_by_age([OwedRow("a", DAY, 5_000), OwedRow("b", DAY, -2_000)], DAY)
    assert (aged.owed_minor, aged.on_account_minor, aged.total_minor, aged.overdue_minor) == (5_000, 2_000, 3_000, 0)


def test_payers_stand_with_the_most_overdue_first_and_the_settled_left_out() -> None:
    rows = [
        OwedRow("later", DAY, 9_000),
        OwedRow("settled", DAY, 0),
        OwedRow("late", date(2026, 1, 1), 100),
        OwedRow("later", date(2026, 3, 1), 50),
    ]
    assert [payer for payer, _ in owed_by_payer(rows, DAY)] == ["late", "later"]
    assert owed_by_payer([], DAY) == []

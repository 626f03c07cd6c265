"""The tax in a debt that is written off, and the day from which it may be claimable."""

from datetime import date

import pytest

from shopbook.trade.billing.bad_debts import claimable_from, tax_in_debt


def test_the_tax_in_a_debt_is_in_proportion_and_claimable_six_months_after_the_later_day_in_the_uk() -> None:
    """1,200.00 with 200.00 tax, due Apr 9, 300.00 paid: tax in it 150.00, from Oct 9 (VAT Notice 700/18, 2.2)."""
    assert tax_in_debt(90_000, 0, [("all of it", 120_000)], 120_000, 20_000) == 15_000
    assert claimable_from(date(2026, 4, 9), date(2026, 3, 10), 6) == date(2026, 10, 9)
    assert claimable_from(date(2026, 4, 9), date(2026, 4, 20), 6) == date(2026, 10, 20)


@pytest.mark.parametrize(
    ("later", "from_on"), [(date(2026, 8, 31), date(2027, 2, 28)), (date(2026, 12, 1), date(2027, 6, 1))]
)
def test_a_month_without_that_day_ends_before_it(later: date, from_on: date) -> None:
    assert claimable_from(later, date(2026, 1, 1), 6) == from_on


def test_no_day_is_named_where_the_country_names_none() -> None:
    assert claimable_from(date(2026, 4, 9), date(2026, 3, 10), 0) is None


def test_where_one_payer_bears_the_tax_no_other_debt_holds_any() -> None:
    rows = [("excess, tax", 55_000), ("the rest", 125_000)]
    assert tax_in_debt(12_500, 1, rows, 180_000, 30_000) == 0
    assert tax_in_debt(55_000, 0, rows, 180_000, 30_000) == 30_000

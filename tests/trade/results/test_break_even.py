"""What an hour brought and had to bring: the worked month, and the identity on random figures."""

from random import Random

import pytest

from shopbook.trade.billing import LineKind
from shopbook.trade.results.break_even import (
    HourNeeded,
    HouseCosts,
    PaintHours,
    SoldWork,
    break_even,
    hour_needed,
    sold_work,
)
from shopbook.trade.results.margin import Costs

MINUTES = 16_218
"""270.3 h."""
SALES = {LineKind.LABOUR: 2_108_340, LineKind.MATERIALS: 401_315, LineKind.PART: 282_950}
COSTS = Costs(labour_minor=700_000, materials_minor=300_000, parts_minor=200_000)
"""Gross profit on paint 1,013.15 and on parts 829.50; of technicians' 11,792.00 jobs carry 7,000.00."""
SOLD = sold_work(MINUTES, SALES, COSTS)
HOUSE = HouseCosts(
    wages_no_job_minor=479_200, fixed_minor=469_570, card_fees_minor=24_440, shelf_minor=35_365, own_pay_minor=809_600
)
MONTH = break_even(SOLD, HOUSE)


def test_the_worked_month() -> None:
    assert MONTH.burden_minor == 1_708_575
    assert MONTH.brought_sum_minor == 2_292_605
    assert (MONTH.hour_minor, MONTH.hour_with_pay_minor) == (6_321, 9_316)
    assert MONTH.brought_minor == 8_482
    assert (MONTH.profit_minor, MONTH.after_pay_minor) == (584_030, -225_570)


def test_the_labour_rate_that_breaks_even_with_the_profit_on_paint_and_parts() -> None:
    assert (MONTH.rate_minor, MONTH.rate_with_pay_minor, MONTH.charged_minor) == (5_639, 8_635, 7_800)


def test_without_own_pay_the_owners_hours_on_jobs_are_added_back_and_with_it_counted_once() -> None:
    """20.0 h at 46.00 on invoiced jobs: +920.00. Then the owner's 168 h at 46.00: −7,728.00."""
    house = HouseCosts(own_pay_minor=168 * 4_600)
    carried = break_even(SoldWork(minutes=1_200, labour_net_minor=900_000, labour_cost_minor=92_000), house)
    added_back = break_even(
        SoldWork(minutes=1_200, labour_net_minor=900_000, labour_cost_minor=92_000, owner_labour_minor=92_000), house
    )
    assert added_back.profit_minor - carried.profit_minor == 92_000
    assert added_back.after_pay_minor is not None
    assert added_back.after_pay_minor - added_back.profit_minor == -772_800


def test_brought_less_break_even_times_hours_is_the_net_profit_before_rounding() -> None:
    draw = Random(7)
    for _ in range(500):
        figures = [draw.randrange(-50_000, 3_000_000) for _ in range(6)]
        sold = SoldWork(draw.randrange(1, 40_000), *figures)
        house = HouseCosts(*(draw.randrange(-50_000, 900_000) for _ in range(5)))
        found = break_even(sold, house)
        left = found.exact(found.brought_sum_minor) - found.exact(found.burden_minor)
        assert left * found.minutes / 60 == found.profit_minor
        assert house.own_pay_minor is not None
        with_pay = found.exact(found.brought_sum_minor) - found.exact(found.burden_minor + house.own_pay_minor)
        assert with_pay * found.minutes / 60 == found.after_pay_minor
        rate = found.exact(found.burden_minor - found.paint_and_parts_minor)
        assert (found.exact(found.charged_sum_minor) - rate) * found.minutes / 60 == found.profit_minor


def test_net_profit_is_sales_less_every_cost_but_the_owners() -> None:
    sold = sold_work(600, {LineKind.LABOUR: 80_000, LineKind.PART: 20_000}, Costs(30_000, 4_000, 12_000, 0, 2_000, 500))
    house = HouseCosts(5_000, 6_000, 700, 80)
    everything = 100_000 - (30_000 + 4_000 + 12_000 + 2_000 + 500) - (5_000 + 6_000 + 700 + 80)
    assert break_even(sold, house).profit_minor == everything


def test_savings_and_discounts_are_taken_off_labour_sold() -> None:
    sold = sold_work(60, {LineKind.LABOUR: 10_000, LineKind.SAVING: -1_000, LineKind.DISCOUNT: -500}, Costs())
    assert (sold.labour_net_minor, sold.other_net_minor) == (8_500, 0)


def test_without_an_hour_sold_no_figure_an_hour_is_said() -> None:
    found = break_even(SoldWork(), HOUSE)
    figures = (found.brought_minor, found.hour_minor, found.hour_with_pay_minor, found.rate_minor, found.charged_minor)
    assert figures == (None,) * 5
    assert found.profit_minor == -HOUSE.total_minor


def test_while_nobody_said_what_the_owner_costs_there_is_no_figure_with_own_pay() -> None:
    found = break_even(SOLD, HouseCosts(fixed_minor=469_570))
    assert (found.hour_with_pay_minor, found.rate_with_pay_minor, found.after_pay_minor) == (None, None, None)


def test_the_figure_that_the_owner_typed_wins() -> None:
    assert hour_needed(7_020, MONTH, ()) == HourNeeded(7_020)
    assert hour_needed(7_020, None, ("Dana",)) == HourNeeded(7_020)


def test_at_the_kerb_the_mean_of_three_months_counts_by_their_hours() -> None:
    """12,000.00, 14,000.00 and 4,000.00 over 150.0, 175.0 and 50.0 h: 80.00."""
    sold = SoldWork(minutes=375 * 60, labour_cost_minor=2_000_000)
    assert hour_needed(None, break_even(sold, HouseCosts(own_pay_minor=1_000_000)), ()) == HourNeeded(8_000)


@pytest.mark.parametrize(
    ("unknown", "said"),
    [
        (("Dana",), "Enter what Dana costs to see this."),
        (("Dana", "Sam"), "Enter what Dana and Sam cost to see this."),
        (("Dana", "Kim", "Sam"), "Enter what Dana, Kim and Sam cost to see this."),
    ],
)
def test_with_neither_it_says_what_to_enter(unknown: tuple[str, ...], said: str) -> None:
    assert hour_needed(None, None, unknown) == HourNeeded(None, said)


def test_a_book_without_a_month_sold_says_so() -> None:
    found = hour_needed(None, break_even(SoldWork(), HOUSE), ())
    assert found.hour_minor is None
    assert found.missing.startswith("Enter your break-even per hour")


def test_materials_of_the_jobs_invoiced_cost_17_21_a_paint_hour_beside_42_00_billed() -> None:
    found = PaintHours(7_080, 121_040, 63_800, 18_251, 495_600)
    assert found.cost_sum_minor == 203_091
    assert (found.cost_minor, found.billed_minor) == (1_721, 4_200)
    assert (PaintHours(0, 1, 1, 1, 1).cost_minor, PaintHours(0, 1, 1, 1, 1).billed_minor) == (None, None)

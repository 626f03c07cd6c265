"""Margins: rework apart, the rest as planned, shares and the words for them."""

from datetime import date

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import labour_cost
from shopbook.trade.results.margin import (
    Costs,
    Margin,
    StageCost,
    cost_of_an_hour,
    job_margin,
    share_permille,
    share_words,
    spread_supplies,
    spread_supplies_over_days,
    variance_words,
)


def test_the_shop_floor_goes_to_jobs_by_minutes_to_the_last_cent_and_to_nobody_without_one() -> None:
    assert spread_supplies(1_000, {7: 60, 8: 60, 9: 60}) == {7: 334, 8: 333, 9: 333}
    assert spread_supplies(1_000, {7: 0, 8: 60, 9: -30}) == {8: 1_000}
    assert spread_supplies(1_000, {7: 0}) == {}


def test_while_a_job_is_open_the_rest_is_expected_as_planned_and_an_overrun_stays() -> None:
    stages = [
        StageCost(Costs(labour_minor=3_000), Costs(labour_minor=2_500), is_done=True),
        StageCost(Costs(labour_minor=3_000, materials_minor=500), Costs(labour_minor=4_000), is_done=False),
        StageCost(Costs(labour_minor=1_000), Costs(), is_done=False),
    ]
    result = job_margin(20_000, 0, stages, Costs(parts_minor=2_000), Costs(parts_minor=2_200))
    assert result.planned == Margin(20_000, Costs(7_000, 500, 2_000))
    assert result.so_far == Margin(0, Costs(6_500, 0, 2_200))
    assert result.expected == Margin(20_000, Costs(7_500, 500, 2_200))
    assert result.words == "3.5 points worse"


def test_rework_is_cost_but_stands_apart_from_the_work_that_was_sold() -> None:
    rework = StageCost(Costs(), Costs(rework_minor=1_500), is_done=True)
    result = job_margin(10_000, 10_000, [rework], is_settled=True)
    assert (result.expected.margin_minor, result.expected.costs.labour_minor) == (8_500, 0)
    assert result.words == "15.0 points worse"


def test_a_settled_job_is_judged_by_what_was_invoiced_and_spent() -> None:
    stage = StageCost(Costs(labour_minor=5_000), Costs(labour_minor=4_000), is_done=False)
    assert job_margin(10_000, 9_000, [stage], is_settled=True).expected == Margin(9_000, Costs(4_000))


def test_a_job_without_revenue_has_no_share() -> None:
    assert Margin(0, Costs(labour_minor=100)).share_permille is None
    assert variance_words(None, 10) == "nothing to compare with yet"
    assert share_words(None) == "–"


@pytest.mark.parametrize(
    ("planned", "actual", "words"),
    [(300, 331, "3.1 points better"), (300, 296, "0.4 points worse"), (-50, -50, "as planned")],
)
def test_the_gap_between_two_shares_is_said_in_points(planned: int, actual: int, words: str) -> None:
    assert variance_words(planned, actual) == words


def test_shares_are_tenths_of_a_percent_with_halves_away_from_zero() -> None:
    assert (share_permille(1, 16), share_permille(-1, 16), share_permille(1, 0)) == (63, -63, None)
    assert (share_words(314), share_words(-5)) == ("31.4 %", "−0.5 %")


def test_labour_is_rounded_entry_by_entry_and_an_hour_needs_paid_time() -> None:
    assert labour_cost(50, 2_345) == 1_954
    with pytest.raises(RuleBroken, match="paid hours"):
        cost_of_an_hour(100, [], 0)


def test_a_jobs_part_of_the_shop_floor_is_laid_on_the_days_it_was_worked_on() -> None:
    third, ninth = date(2026, 11, 3), date(2026, 11, 9)
    found = spread_supplies_over_days(1_000, {(1, third): 90, (1, ninth): 30, (2, third): 80, (3, third): 0})
    assert found == {(1, third): 450, (1, ninth): 150, (2, third): 400}
    assert spread_supplies_over_days(1_000, {}) == {}

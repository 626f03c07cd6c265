"""What to order: the default method's states, packs, days and sentences."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import Unit
from shopbook.trade.stock.reorder import Arrival, Need, ReorderState, ShelfLevel, plan_reorder

THURSDAY = date(2026, 11, 5)
MONDAY = date(2026, 11, 9)
CLEAR = ShelfLevel(Unit.ML, 1_000_000, "1 L", 2_480_000, threshold_quarters=8, used_a_day_thousandths=220_000)
ACTIVATOR = ShelfLevel(Unit.ML, 500_000, "500 ml", 380_000, threshold_quarters=1)


def test_a_job_that_will_not_find_its_material_is_named_with_the_day_and_the_gap() -> None:
    needs = [
        Need("1045", 180_000, MONDAY),
        Need("1042", 150_000, THURSDAY),
        Need("1041", 140_000, date(2026, 11, 6)),
    ]
    line = plan_reorder(ACTIVATOR, needs, [], THURSDAY)
    assert (line.state, line.short_for, line.short_thousandths) == (ReorderState.SHORT, "1045", 90_000)
    assert line.why == "The book says 380 ml. After 1042 and 1041, 1045 is 90 ml short on Monday."
    assert (line.packs, line.free_thousandths, line.lasts) == (1, -90_000, "until Monday")
    assert (line.order_by, line.due) == (date(2026, 11, 8), "order by Sunday")


def test_what_comes_in_time_makes_good_a_shortage_and_what_comes_late_does_not() -> None:
    needs = [Need("1045", 500_000, MONDAY)]
    in_time = plan_reorder(ACTIVATOR, needs, [Arrival(500_000, date(2026, 11, 6))], THURSDAY)
    late = plan_reorder(ACTIVATOR, needs, [Arrival(500_000, date(2026, 11, 10))], THURSDAY)
    assert in_time.state is ReorderState.ENOUGH
    assert (late.state, late.packs, late.short_thousandths) == (ReorderState.SHORT, 0, 120_000)
    assert late.due == "chase what is on order"


def test_below_the_level_after_what_is_spoken_for_it_is_time_to_order() -> None:
    line = plan_reorder(CLEAR, [Need("1039", 940_000)], [], THURSDAY)
    assert (line.state, line.packs, line.short_for) == (ReorderState.ORDER_SOON, 1, None)
    assert line.why == "1,540 ml free after approved jobs. You order at 2 × 1 L."
    assert line.lasts == "about 7 days"
    assert (line.order_by, line.due) == (date(2026, 11, 11), "order by Wednesday")


def test_above_the_level_nothing_is_ordered() -> None:
    line = plan_reorder(replace(CLEAR, on_hand_thousandths=7_400_000), [], [], THURSDAY)
    assert (line.state, line.packs, line.due, line.order_by) == (ReorderState.ENOUGH, 0, "", None)
    assert line.lasts == "about 5 weeks"


def test_what_is_on_order_is_not_ordered_twice() -> None:
    line = plan_reorder(CLEAR, [Need("1039", 940_000)], [Arrival(2_000_000)], THURSDAY)
    assert line.state is ReorderState.ENOUGH
    assert "2,000 ml on order" in line.why


def test_a_shop_without_a_history_is_told_to_order_with_the_next_order() -> None:
    line = plan_reorder(replace(CLEAR, used_a_day_thousandths=0, on_hand_thousandths=0), [], [], THURSDAY)
    assert (line.due, line.lasts, line.packs) == ("with the next order", "", 3)


def test_a_book_under_zero_still_says_what_is_missing() -> None:
    line = plan_reorder(replace(ACTIVATOR, on_hand_thousandths=-50_000), [Need("1042", 100_000)], [], THURSDAY)
    assert (line.state, line.short_thousandths, line.due) == (ReorderState.SHORT, 100_000, "order today")
    assert line.lasts == "not long enough for approved jobs"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "less than a day"),
        (1, "about 1 day"),
        (2, "about 2 days"),
        (13, "about 13 days"),
        (14, "about 2 weeks"),
        (69, "about 10 weeks"),
        (70, "about 2 months"),
        (90, "about 3 months"),
        (729, "about 24 months"),
        (730, "over 2 years"),
    ],
)
def test_how_long_it_lasts_is_said_roughly(days: int, words: str) -> None:
    shelf = replace(CLEAR, on_hand_thousandths=days * 220_000 + 1)
    assert plan_reorder(shelf, [], [], THURSDAY).lasts == words


@pytest.mark.parametrize(
    "make",
    [
        lambda: replace(CLEAR, pack_thousandths=0),
        lambda: replace(CLEAR, lead_days=-1),
        lambda: replace(CLEAR, smallest_packs=0),
        lambda: replace(CLEAR, threshold_quarters=-1),
    ],
)
def test_a_shelf_that_cannot_be_is_refused(make: Callable[[], ShelfLevel]) -> None:
    with pytest.raises(RuleBroken):
        make()


_NEEDS = st.lists(
    st.builds(
        Need,
        st.sampled_from(["1", "2", "3"]),
        st.integers(1, 3_000_000),
        st.none() | st.integers(0, 30).map(lambda later: THURSDAY + timedelta(days=later)),
    ),
    max_size=6,
)


@given(st.integers(-(10**6), 10**7), _NEEDS, st.integers(0, 12), st.integers(1, 10**6))
def test_the_packs_ordered_are_the_fewest_that_lift_it_above_the_level(
    on_hand: int, needs: list[Need], level: int, pack: int
) -> None:
    shelf = ShelfLevel(Unit.ML, pack, "can", on_hand, threshold_quarters=level)
    line = plan_reorder(shelf, needs, [], THURSDAY)
    assert line.free_thousandths + line.packs * pack > level * pack / 4
    assert line.packs == 0 or line.free_thousandths + (line.packs - 1) * pack <= shelf.threshold_thousandths
    assert (line.state is ReorderState.ENOUGH) == (line.packs == 0)
    assert line.why.endswith(".")


def test_with_a_lead_time_of_zero_it_is_ordered_on_the_very_day() -> None:
    """1,540 ml free at 220 ml a day last 7 days: ordered on the seventh, and with one day of lead on the sixth."""
    same_day = replace(CLEAR, lead_days=0, on_hand_thousandths=1_540_000)
    assert plan_reorder(same_day, [], [], THURSDAY).order_by == date(2026, 11, 12)
    assert plan_reorder(replace(same_day, lead_days=1), [], [], THURSDAY).order_by == date(2026, 11, 11)
    short = replace(ACTIVATOR, lead_days=0)
    assert plan_reorder(short, [Need("1045", 500_000, MONDAY)], [], THURSDAY).order_by == MONDAY


def test_an_order_that_is_due_already_is_due_today_and_never_in_the_past() -> None:
    late = replace(ACTIVATOR, lead_days=5)
    assert plan_reorder(late, [Need("1045", 500_000, MONDAY)], [], THURSDAY).order_by == THURSDAY
    used_up = replace(CLEAR, lead_days=5, on_hand_thousandths=440_000)
    assert plan_reorder(used_up, [], [], THURSDAY).order_by == THURSDAY


def test_exactly_the_level_is_ordered_at_and_a_thousandth_above_it_is_not() -> None:
    """Two litres are the level of the clear: at 2,000 ml one pack lifts it above, at 2,000.001 ml none is wanted."""
    assert plan_reorder(replace(CLEAR, on_hand_thousandths=2_000_000), [], [], THURSDAY).packs == 1
    assert plan_reorder(replace(CLEAR, on_hand_thousandths=2_000_001), [], [], THURSDAY).packs == 0


def test_a_job_that_takes_all_there_is_is_not_short_and_one_that_comes_on_the_day_is_in_time() -> None:
    assert plan_reorder(ACTIVATOR, [Need("1045", 380_000, MONDAY)], [], THURSDAY).short_for is None
    arrivals = [Arrival(500_000, MONDAY)]
    assert plan_reorder(ACTIVATOR, [Need("1045", 500_000, MONDAY)], arrivals, THURSDAY).short_for is None


def test_no_less_is_ordered_than_the_supplier_sends() -> None:
    assert plan_reorder(replace(CLEAR, on_hand_thousandths=0, smallest_packs=6), [], [], THURSDAY).packs == 6


def test_of_each_job_that_is_short_its_own_missing_amount_is_said() -> None:
    """500 ml for three jobs that take 400, 300 and 200: the second is 200 short, the third misses all of its 200."""
    needs = [Need("66", 400_000, THURSDAY), Need("67", 300_000, MONDAY), Need("68", 200_000)]
    line = plan_reorder(replace(CLEAR, on_hand_thousandths=500_000), needs, [], THURSDAY)
    assert line.short_for == "67"
    assert dict(line.short_by_job) == {"67": 200_000, "68": 200_000}

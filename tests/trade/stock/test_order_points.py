"""Order points that ship, by kind: reducer and supplies are not ordered with most of a can in hand."""

from datetime import date

import pytest

from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.measures.units import Unit
from shopbook.trade.stock.reorder import ReorderState, ShelfLevel, plan_reorder

CATALOGUE = own_catalogue()
TODAY = date(2026, 11, 5)


def state_of(code: str, on_hand: int) -> ReorderState:
    known = CATALOGUE.materials[code]
    level = ShelfLevel(
        Unit(known.unit), known.pack_thousandths, known.pack_name, on_hand, threshold_quarters=known.order_when_quarters
    )
    return plan_reorder(level, [], [], TODAY).state


@pytest.mark.parametrize("code", ["surfacer_reducer", "base_reducer", "degreaser"])
def test_three_quarters_of_a_can_of_reducer_or_supplies_are_enough(code: str) -> None:
    assert state_of(code, 3_750_000) is ReorderState.ENOUGH
    assert state_of(code, 1_250_000) is ReorderState.ORDER_SOON


def test_clear_and_its_activator_are_ordered_at_three_quarters() -> None:
    assert state_of("clear", 3_750_000) is ReorderState.ORDER_SOON
    assert state_of("clear_activator", 1_875_000) is ReorderState.ORDER_SOON


def test_only_tape_of_all_supplies_is_ordered_before_the_last_quarter() -> None:
    supplies = [one for one in CATALOGUE.materials.values() if one.way == WayUsed.SHOP_SUPPLIES]
    assert {one.code for one in supplies if one.order_when_quarters > 1} == {"tape"}

"""The list as a sheet: both sides as one, what the hours make each price, and all prices raised and rounded."""

from datetime import date

import pytest

from shopbook.trade.catalogue.entries import PanelPrice
from shopbook.trade.catalogue.reading import EditedRow, overlay, own_catalogue
from shopbook.trade.planning.price_grid import (
    CELLS,
    Changes,
    apart_pairs,
    changed_bodies,
    grid_rows,
    joined_list,
    listed,
    raised_list,
)
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.pricing.listed import raised

CATALOGUE = own_catalogue()
HOUR = 7800
M_PAINT = (SizeStep.M, PaintChoice.PAINT)
DAY = date(2026, 12, 1)


def with_prices(**minor: int | None) -> dict[str, PanelPrice]:
    """The list with the price of a middle, painted damage set by panel."""
    changes: Changes = {(code, M_PAINT): price for code, price in minor.items()}
    bodies = changed_bodies(CATALOGUE.prices, changes)
    rows = [EditedRow("price", code, DAY, body) for code, body in bodies.items()]
    return dict(overlay(CATALOGUE, rows, DAY).prices)


@pytest.mark.parametrize(
    ("minor", "step", "wanted"),
    [
        (13700, 500, 14500),
        (13700, 1, 14385),
        (15000, 500, 16000),
        (0, 500, 0),
        (1000, 500, 1000),
        (80340, 1, 84357),
    ],
)
def test_a_price_is_raised_by_five_percent_and_rounded_to_the_step_half_away(
    minor: int, step: int, wanted: int
) -> None:
    """137.00 + 5 % is 143.85: 145.00 to 5.00. 150.00 is 157.50, so 160.00; 10.00 is 10.50, which stays 10.00."""
    assert raised(minor, 50, step) == wanted


def test_every_price_is_raised_an_empty_one_from_what_its_hours_make_and_zero_stays_zero() -> None:
    prices = with_prices(bonnet=13700, roof=0, left_front_door=13700, right_front_door=15000)
    found = raised_list(prices, HOUR, 50, 500)
    assert found["bonnet", M_PAINT] == 14500
    assert ("roof", M_PAINT) not in found
    assert (found["left_front_door", M_PAINT], found["right_front_door", M_PAINT]) == (14500, 16000)
    assert listed(prices["left_rear_door"], HOUR, M_PAINT).minor == 79560, "10.2 h at 78.00, never typed"
    assert found["left_rear_door", M_PAINT] == 83500, "835.38 to 5.00"
    whole = raised_list(prices, HOUR, 50, 1)
    assert len(whole) == len(prices) * len(CELLS) - 1, "all but the one that is zero"


def test_both_sides_are_one_row_until_a_price_of_them_differs() -> None:
    rows = grid_rows(CATALOGUE.prices, HOUR)
    assert len(rows) == 14
    assert rows[0].codes == ("left_front_wing", "right_front_wing")
    apart = with_prices(left_front_door=13700)
    assert apart_pairs(apart, HOUR) == ["front_door"]
    names = [row.name for row in grid_rows(apart, HOUR)]
    assert {"left_front_door", "right_front_door"} < set(names)
    assert len(names) == 15
    assert apart_pairs(with_prices(left_front_door=13700, right_front_door=13700), HOUR) == []


def test_joining_takes_the_prices_of_one_side_and_a_guess_goes_on_following_the_hour() -> None:
    prices = with_prices(left_front_door=13700)
    assert joined_list(prices, HOUR, "left") == {("right_front_door", M_PAINT): 13700}
    assert joined_list(prices, HOUR, "right") == {("left_front_door", M_PAINT): None}
    assert dict(with_prices(left_front_door=None)["left_front_door"].set_minor) == {}


def test_under_each_price_stands_what_its_hours_make_and_a_price_below_is_said_to_be_under() -> None:
    """A bonnet of middle size, painted: 10.8 h at 78.00 are 842.40."""
    bonnet = listed(with_prices(bonnet=80000)["bonnet"], HOUR, M_PAINT)
    assert (bonnet.minor, bonnet.hours_minor, bonnet.is_own, bonnet.is_under) == (80000, 84240, True, True)
    guess = listed(CATALOGUE.prices["bonnet"], HOUR, M_PAINT)
    assert (guess.minor, guess.hours_minor, guess.is_own, guess.is_under) == (84240, 84240, False, False)

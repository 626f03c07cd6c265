"""Cars at their places: who fits in where, and which place holds too many."""

from datetime import date

from shopbook.trade.diary.board import slots_of
from shopbook.trade.diary.rooms import PlaceRoom, crowded, fit_in, is_full

BAY, OTHER, YARD = PlaceRoom(1, "Bay 1", 1), PlaceRoom(2, "Bay 2", 1), PlaceRoom(3, "Yard", None)
SLOTS = slots_of([date(2026, 11, 5), date(2026, 11, 6)])
FIRST, SECOND = frozenset(SLOTS[:2]), frozenset(SLOTS[2:])


def test_a_car_goes_to_the_first_place_with_room_over_its_whole_stay() -> None:
    standing = {60: (1, FIRST)}
    assert fit_in([BAY, OTHER, YARD], standing, {67: frozenset(SLOTS)}) == {67: 2}
    assert fit_in([BAY, OTHER, YARD], standing, {67: SECOND}) == {67: 1}
    assert fit_in([BAY, OTHER, YARD], standing, {67: FIRST, 68: FIRST}) == {67: 2, 68: 3}


def test_where_no_place_is_free_none_is_said() -> None:
    assert fit_in([BAY], {60: (1, FIRST)}, {67: frozenset(SLOTS[1:])}) == {67: None}


def test_the_spray_bay_is_offered_last() -> None:
    spray = PlaceRoom(1, "Spray bay", 1, is_spray_bay=True)
    assert fit_in([spray, OTHER], {}, {67: FIRST, 68: FIRST}) == {67: 2, 68: 1}


def test_a_bay_for_one_holds_too_many_with_two_and_a_yard_never() -> None:
    assert crowded(BAY, [FIRST, frozenset(SLOTS[1:])], SLOTS) == {SLOTS[1]: 2}
    assert crowded(YARD, [FIRST, FIRST, FIRST], SLOTS) == {}
    assert crowded(PlaceRoom(4, "Yard", 2), [FIRST, FIRST], SLOTS) == {}


def test_a_place_is_full_where_nobody_fits_in_on_any_half_day() -> None:
    assert not is_full(BAY, [FIRST], SLOTS)
    assert is_full(BAY, [FIRST, SECOND], SLOTS)
    assert not is_full(YARD, [FIRST, SECOND], SLOTS)

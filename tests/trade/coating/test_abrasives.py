"""Sequences of grades, scratches under a coat, and counts."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.coating.abrasives import (
    COARSEST_UNDER,
    LONGEST_STEP,
    PARTICLE_UM,
    Form,
    Ground,
    Use,
    advise,
    coat_warning,
    count_needed,
    sequence,
    step_warnings,
    usual_life_m2,
)
from shopbook.trade.errors import RuleBroken

GRADES = st.sampled_from(list(PARTICLE_UM))


@given(GRADES, GRADES, st.lists(GRADES, max_size=8))
def test_a_sequence_never_coarsens_and_no_step_is_too_long(start: int, end: int, kept: list[int]) -> None:
    steps = sequence(start, end, kept)
    grains = [PARTICLE_UM[grade] for grade in (start, *steps.grades)]
    assert all(finer < coarser for coarser, finer in pairwise(grains))
    assert all(coarser / finer <= LONGEST_STEP for coarser, finer in pairwise(grains))
    assert steps.warnings == ()
    assert len(steps.reasons) == len(steps.grades)


@given(GRADES, GRADES)
def test_a_sequence_ends_where_it_was_to(start: int, end: int) -> None:
    grades = sequence(start, end).grades
    assert grades == () if end <= start else grades[-1] == end


def test_filler_to_metallic_takes_the_steps_that_a_shop_keeps() -> None:
    assert sequence(80, 500).grades == (180, 320, 500)


def test_a_long_step_without_its_grade_on_the_shelf_is_filled_from_the_series() -> None:
    assert sequence(80, 400, kept=(80, 400)).grades == (180, 400)


def test_going_back_to_coarser_is_warned_of() -> None:
    assert "coarser again" in step_warnings((320, 180))[0]


@pytest.mark.parametrize(
    ("grade", "coat", "is_fine"),
    [(180, "surfacer", True), (80, "surfacer", False), (400, "base_metallic", False), (500, "base_metallic", True)],
)
def test_scratches_too_coarse_for_a_coat_are_named_with_their_limit(grade: int, coat: str, is_fine: bool) -> None:
    """Common practice, 80 % sure."""
    told = coat_warning(grade, coat)
    assert (told is None) is is_fine
    assert told is None or f"P{COARSEST_UNDER[coat]} or finer" in told


@given(st.floats(0.0001, 20), st.floats(0.0001, 20), GRADES, st.sampled_from(Form))
def test_a_larger_area_never_needs_fewer_and_always_one(one: float, other: float, grade: int, form: Form) -> None:
    small, large = sorted((one, other))
    assert 1 <= count_needed(small, grade, form) <= count_needed(large, grade, form)


def test_a_count_follows_the_life_of_a_piece() -> None:
    assert count_needed(0.3, 80) == 4
    assert count_needed(0.3, 80, life_m2=0.1) == 3
    assert usual_life_m2(240) == usual_life_m2(180)
    assert usual_life_m2(36) == usual_life_m2(80)


@pytest.mark.parametrize(("grade", "discs"), [(80, 28), (180, 14), (320, 8), (500, 5), (800, 3), (3000, 2)])
def test_a_bonnet_of_2_1_square_metres_takes_so_many_discs_of_each_grade(grade: int, discs: int) -> None:
    """A disc lasts 0.075, 0.15, 0.275, 0.5, 0.7, 2.0 m²; common practice, 65 % sure. 2.1 / 0.275 is 7.6."""
    assert count_needed(2.1, grade) == discs


def test_a_disc_lasts_its_area_and_not_a_square_decimetre_more() -> None:
    assert (count_needed(0.275, 320), count_needed(0.276, 320)) == (1, 2)


def test_what_is_no_grade_no_area_and_no_coat_is_refused() -> None:
    for call in (
        lambda: sequence(81, 400),
        lambda: count_needed(0, 80),
        lambda: count_needed(1, 80, life_m2=0),
        lambda: coat_warning(80, "varnish"),
    ):
        with pytest.raises(RuleBroken):
            call()


def test_filler_and_metal_are_never_sanded_wet() -> None:
    for ground in (Ground.FILLER, Ground.METAL):
        assert {advise(grade, ground).use for grade in PARTICLE_UM} == {Use.DRY}


def test_clear_is_keyed_dry_and_cut_wet() -> None:
    assert advise(800, Ground.CLEAR).use is Use.DRY
    assert advise(2000, Ground.CLEAR).use is Use.WET


def test_long_sanding_of_a_small_place_takes_its_pieces_too() -> None:
    assert count_needed(0.01, 80, minutes=50, life_minutes=20) == 3
    with pytest.raises(RuleBroken):
        count_needed(0.01, 80, minutes=-1)

"""What cannot be is a sentence, and nothing is drafted."""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.checking import MOST_DENTS, check_conditions, check_damage
from shopbook.trade.planning.shapes import Choices, Conditions, DamageKind, Substrate
from tests.makers.plans import draft, make_damage

CATALOGUE = own_catalogue()


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"length_mm": 0}, "length and width above zero"),
        ({"width_mm": -5}, "length and width above zero"),
        ({"length_mm": 2000, "width_mm": 2000}, "larger than its panel of 1 m²"),
        ({"depth_um": 0}, "depth above zero"),
        ({"depth_um": 200_000}, "Replace the panel"),
        ({"kind": DamageKind.SCRATCH, "depth_um": 900}, "deeper than the panel is thick: enter 0.7 mm or less"),
        ({"kind": DamageKind.SMALL_DENTS}, "Enter how many small dents"),
        ({"kind": DamageKind.SMALL_DENTS, "dent_count": 3, "dent_class_mm": 0}, "size of the small dents"),
        ({"kind": DamageKind.RUST, "substrate": Substrate.PLASTIC}, "plastic does not rust"),
        ({"panel": "spoiler"}, "no panel called 'spoiler'"),
    ],
)
def test_a_damage_that_cannot_be_is_refused_with_a_sentence(more, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        draft([make_damage(**more)])


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        (Conditions(80, 50), "between -20 and 50"),
        (Conditions(50.1, 50), "between -20 and 50"),
        (Conditions(-20.1, 50), "between -20 and 50"),
        (Conditions(float("nan"), 50), "between -20 and 50"),
        (Conditions(20, 0), "humidity above 0"),
        (Conditions(20, 100.1), "up to 100"),
    ],
)
def test_a_day_that_cannot_be_is_refused_with_a_sentence(day, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        draft([make_damage()], conditions=day)


@pytest.mark.parametrize("edge", [Conditions(-20, 50), Conditions(50, 50), Conditions(20, 0.1), Conditions(20, 100)])
def test_the_coldest_the_hottest_the_driest_and_the_dampest_day_are_days(edge):
    check_conditions(edge)


@pytest.mark.parametrize(
    ("count", "class_mm", "is_fine"),
    [(1, 10, True), (MOST_DENTS, 10, True), (MOST_DENTS + 1, 10, False), (5, 1, True), (5, 300, True), (5, 301, False)],
)
def test_small_dents_are_counted_from_one_and_are_at_most_300_mm_wide(count, class_mm, is_fine):
    damage = make_damage(kind=DamageKind.SMALL_DENTS, dent_count=count, dent_class_mm=class_mm)
    if is_fine:
        check_damage(CATALOGUE, damage)
        return
    with pytest.raises(RuleBroken):
        check_damage(CATALOGUE, damage)


def test_a_dent_of_150_mm_is_still_repaired_and_a_scratch_goes_no_deeper_than_the_skin():
    check_damage(CATALOGUE, make_damage(depth_um=150_000))
    check_damage(CATALOGUE, make_damage(kind=DamageKind.SCRATCH, depth_um=700))
    for more in ({"depth_um": 150_001}, {"kind": DamageKind.SCRATCH, "depth_um": 701}):
        with pytest.raises(RuleBroken):
            check_damage(CATALOGUE, make_damage(**more))


def test_no_damage_at_all_is_refused():
    with pytest.raises(RuleBroken, match="at least one damage"):
        draft([])


def test_two_damages_of_one_number_are_refused():
    with pytest.raises(RuleBroken, match="same number"):
        draft([make_damage(1), make_damage(1)])


def test_one_panel_is_not_made_of_two_things():
    damages = [make_damage(1), make_damage(2, substrate=Substrate.ALUMINIUM)]
    with pytest.raises(RuleBroken, match=r"one says steel and the other \{aluminium\}"):
        draft(damages)


@pytest.mark.parametrize("coats", [0, 7])
def test_coats_that_nobody_lays_are_refused(coats):
    with pytest.raises(RuleBroken, match="Enter 1 to 6 coats"):
        draft([make_damage()], choices=Choices(clear_coats=coats))

"""What cannot be is a sentence, and nothing is drafted."""

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.shapes import Choices, Conditions, DamageKind, Substrate
from tests.makers.plans import draft, make_damage


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"length_mm": 0}, "more than nothing long"),
        ({"width_mm": -5}, "more than nothing long"),
        ({"length_mm": 2000, "width_mm": 2000}, "larger than its panel of 1 m²"),
        ({"depth_um": 0}, "depth must be more than nothing"),
        ({"depth_um": 200_000}, "replace"),
        ({"kind": DamageKind.SCRATCH, "depth_um": 900}, "deeper than the panel is thick, 0.7 mm"),
        ({"kind": DamageKind.SMALL_DENTS}, "Count the small dents"),
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
        (Conditions(float("nan"), 50), "between -20 and 50"),
        (Conditions(20, 0), "Humidity must be"),
        (Conditions(20, 101), "at most 100"),
    ],
)
def test_a_day_that_cannot_be_is_refused_with_a_sentence(day, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        draft([make_damage()], conditions=day)


def test_no_damage_at_all_is_refused():
    with pytest.raises(RuleBroken, match="at least one damage"):
        draft([])


def test_two_damages_of_one_number_are_refused():
    with pytest.raises(RuleBroken, match="same number"):
        draft([make_damage(1), make_damage(1)])


def test_one_panel_is_not_made_of_two_things():
    damages = [make_damage(1), make_damage(2, substrate=Substrate.ALUMINIUM)]
    with pytest.raises(RuleBroken, match="one says steel and the other aluminium"):
        draft(damages)


@pytest.mark.parametrize("coats", [0, 7])
def test_coats_that_nobody_lays_are_refused(coats):
    with pytest.raises(RuleBroken, match="between 1 and 6 coats"):
        draft([make_damage()], choices=Choices(clear_coats=coats))

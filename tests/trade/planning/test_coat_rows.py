"""How long what was laid dries, by what it is and how thick it lies."""

from shopbook.trade.planning.shapes import (
    Choices,
    Conditions,
    DamageKind,
)
from tests.makers.plans import draft, make_damage, stage_of


def test_surfacer_over_fresh_filler_is_offered_the_night_and_thicker_than_three_coats_is_given_it():
    day = stage_of(draft([make_damage()]), "prime")
    lamp = stage_of(draft([make_damage()], conditions=Conditions(has_lamp=True)), "prime").wait
    bare = stage_of(draft([make_damage(kind=DamageKind.SCRATCH)]), "prime")
    thick = stage_of(draft([make_damage()], choices=Choices(surfacer_coats=4)), "prime").wait
    # common practice, 85 % sure: 3 h to sand, 15 to 20 min under a lamp, overnight when thicker than three coats
    assert (day.wait.not_before_minutes, bare.wait.not_before_minutes, thick.not_before_minutes) == (180, 180, 900)
    assert any("overnight" in reason for reason in day.reasons)
    assert not any("overnight" in reason for reason in bare.reasons)
    assert lamp.is_under_lamp
    assert lamp.not_before_minutes == day.wait.with_lamp_minutes == 20

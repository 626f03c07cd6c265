"""Which group of a quote carries a stage, and what of a stage falls on some of its panels."""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP, group_key, longer_by, only_on
from shopbook.trade.planning.shapes import Car, Finish
from tests.makers.plans import draft, make_damage, stage_of

CATALOGUE = own_catalogue()
DOOR, REAR_DOOR, QUARTER, ROOF = "right_front_door", "right_rear_door", "right_quarter", "roof"


@pytest.mark.parametrize(
    ("panels", "hurt", "group"),
    [
        ([DOOR], [DOOR, ROOF], DOOR),
        ([DOOR, REAR_DOOR], [DOOR], DOOR),
        ([DOOR, ROOF], [DOOR, ROOF], WHOLE_CAR_GROUP),
        ([REAR_DOOR], [DOOR, ROOF], DOOR),
        ([REAR_DOOR], [DOOR, QUARTER], WHOLE_CAR_GROUP),
        ([ROOF], [DOOR], WHOLE_CAR_GROUP),
        ([], [DOOR], WHOLE_CAR_GROUP),
    ],
)
def test_a_stage_goes_with_its_one_hurt_panel_or_the_one_it_is_blended_for(
    panels: list[str], hurt: list[str], group: str
) -> None:
    assert group_key(panels, hurt, CATALOGUE) == group


def test_the_part_of_a_stage_on_one_panel_and_on_the_other_make_up_the_stage() -> None:
    stage = stage_of(draft([make_damage(1, DOOR), make_damage(2, ROOF)]), "base_clear")
    one, other = only_on(stage, [DOOR]), only_on(stage, [ROOF])
    assert (one.panels, other.panels) == ((DOOR,), (ROOF,))
    assert 0 < one.minutes < stage.minutes == one.minutes + other.minutes
    assert {panel for panel, _ in one.lays} == {DOOR}
    drawn = sum(use.amount_thousandths for part in (one, other) for use in part.uses)
    assert drawn == sum(use.amount_thousandths for use in stage.uses) > 0
    assert not only_on(stage, []).uses


def test_a_longer_stage_is_spread_over_its_panels_as_it_was() -> None:
    stage = stage_of(draft([make_damage(1, DOOR), make_damage(2, ROOF)]), "base_clear")
    longer = longer_by(stage, 2 * stage.minutes)
    assert longer.minutes == 2 * stage.minutes
    assert longer.minutes_by_panel == tuple((panel, 2 * each) for panel, each in stage.minutes_by_panel)
    assert (longer.uses, longer.mixes) == ((), ())


@pytest.mark.parametrize(
    ("panel", "has_aids", "stages"),
    [
        ("rear_bumper", True, {"trim_off", "pull", "fill", "prime", "base_clear", "refit", "calibration"}),
        ("rear_bumper", False, set()),
        (DOOR, True, set()),
    ],
)
def test_driver_aids_are_cautioned_of_where_their_panel_is_touched_or_covered_and_nowhere_else(
    panel: str, has_aids: bool, stages: set[str]
) -> None:
    plan = draft([make_damage(panel=panel)], Car(Finish.SOLID, has_driver_aids=has_aids))
    assert {stage.code for stage in plan.stages if "driver_aids" in stage.cautions} == stages

"""Where the clear stops on quarters and roofs, and that it is asked and counted once; common practice."""

from shopbook.trade.planning.shapes import (
    Car,
    ClearStop,
    DamageKind,
    DraftPlan,
    Finish,
    SizeStep,
)
from tests.makers.plans import draft, make_damage, stage_of, warned

SILVER = Car(Finish.METALLIC)


def peeling(*panels: str, stop: ClearStop = ClearStop.NOT_ASKED) -> DraftPlan:
    faded = {"kind": DamageKind.FADED_CLEAR, "size": SizeStep.L, "clear_stop": stop}
    return draft([make_damage(n, panel, **faded) for n, panel in enumerate(panels, 1)], SILVER)


def test_a_quarter_beside_a_painted_roof_is_not_asked_where_its_clear_stops():
    plan = peeling("left_quarter", "roof")
    # only the roof is asked, whose other side still ends on the right quarter
    asked = [warning.sentence for warning in plan.warnings if warning.code == "clear_stop"]
    assert len(asked) == 1
    assert asked[0].startswith("Damage 2: where does")
    assert "clear_stop" in warned(peeling("left_quarter"))
    assert "clear_stop" not in warned(peeling("left_quarter", "roof", "right_quarter"))


def test_clear_melted_in_or_run_over_the_roof_is_counted_once_where_roof_and_quarter_are_painted():
    # 0.9 and 2.0 m², melted in at the one open pillar: 0.5 more
    assert "3.40 m²" in stage_of(peeling("left_quarter", "roof", stop=ClearStop.PILLAR), "base_clear").mixes[-1].reason
    assert "2.90 m²" in stage_of(peeling("left_quarter", "roof", stop=ClearStop.ROOF), "base_clear").mixes[-1].reason

"""What a painter adds for this very car; facts of the trade are common practice."""

from shopbook.trade.planning.shapes import DamageKind, SizeStep, Substrate
from tests.makers.plans import draft, make_damage, stage_of


def test_the_seams_of_a_rusty_sill_are_sealed_once_and_before_colour():
    plan = draft([make_damage(panel="left_sill", kind=DamageKind.RUST, size=SizeStep.L)])
    sealing = [stage.code for stage in plan.stages if "seam_sealer" in {use.role for use in stage.uses}]
    assert sealing == ["block"]
    assert [stage.code for stage in plan.stages if any("seams sealed" in step for step in stage.steps)] == ["block"]
    assert "seam_sealer" not in {use.role for use in stage_of(draft([make_damage()]), "block").uses}


def test_filler_on_aluminium_is_one_whose_sheet_names_it():
    def steps(substrate: Substrate) -> str:
        return " ".join(stage_of(draft([make_damage(panel="bonnet", substrate=substrate)]), "fill").steps)

    assert "names aluminium" in steps(Substrate.ALUMINIUM)
    assert "aluminium" not in steps(Substrate.STEEL)

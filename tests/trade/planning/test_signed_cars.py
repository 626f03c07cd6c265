"""Eleven invented cars that a painter would sign: stages and grits first, then hours; all of it is common practice.

The hours are of one painter, for the whole car with washing and hand-over, unless a comment says otherwise.
"""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.comparing import elapsed_minutes
from shopbook.trade.planning.drafting import draft_replacement
from shopbook.trade.planning.shapes import (
    Car,
    Choices,
    ClearStop,
    Conditions,
    Crossing,
    DamageKind,
    DepthStep,
    DraftDamage,
    DraftPlan,
    Finish,
    PaintChoice,
    Reach,
    SizeStep,
    Substrate,
)
from tests.makers.plans import codes, draft, make_damage, stage_of, warned

SILVER = Car(Finish.METALLIC)


def hours(plan: DraftPlan) -> float:
    return plan.minutes / 60


def grits(plan: DraftPlan, code: str = "") -> set[str]:
    stages = [stage for stage in plan.stages if code in {"", stage.code}]
    discs = {use.role for stage in stages for use in stage.uses if use.role.startswith("disc_")}
    return {role.removeprefix("disc_") for role in discs}


def mixes(plan: DraftPlan, code: str) -> dict[str, int]:
    return {mix.code: mix.total_ml for mix in stage_of(plan, code).mixes}


def uses(plan: DraftPlan, code: str) -> dict[str, int]:
    return {use.role: use.amount_thousandths for use in stage_of(plan, code).uses}


def said(plan: DraftPlan, code: str) -> str:
    stages = [stage for stage in plan.stages if stage.code == code]
    return "; ".join(text for stage in stages for text in (*stage.steps, *stage.reasons))


def sentence(plan: DraftPlan, code: str) -> str:
    (found,) = [warning.sentence for warning in plan.warnings if warning.code == code]
    return found


def scratch(number: int, panel: str, reach: Reach, **more: object) -> DraftDamage:
    return make_damage(number, panel, DamageKind.SCRATCH, reach=reach, length_mm=600, **more)


def test_a_key_scratch_to_base_over_two_silver_doors_is_feathered_and_never_stripped():
    doors = ("left_front_door", "left_rear_door")
    damages = [scratch(n, panel, Reach.PRIMER, paint=PaintChoice.BLEND) for n, panel in enumerate(doors, 1)]
    plan = draft(damages, SILVER)
    assert not {"strip", "pull", "fill"} & set(codes(plan))
    assert grits(plan, "feather_edges") == {"p320", "p400"}
    assert "p80" not in grits(plan)
    assert set(mixes(plan, "prime")) == {"surfacer"}
    assert "p500" in grits(plan, "block")
    assert set(doors) <= set(stage_of(plan, "base_clear").panels)
    assert "colour" in codes(plan)
    assert 10.5 <= hours(plan) <= 14.5


def test_eight_chips_are_touched_in_by_count_without_masking():
    plan = draft([make_damage(1, "bonnet", DamageKind.CHIP, chip_count=8, paint=PaintChoice.NO_PAINT)], SILVER)
    assert codes(plan) == ["check_in", "touch_in", "hand_over"]
    # 0.4 h and 1 to 2 minutes a chip; the check-in and the hand-over belong to every car
    assert stage_of(plan, "touch_in").minutes == 36


def test_fifty_chips_are_feathered_each_primed_in_one_pass_and_never_stripped_to_metal():
    plan = draft([make_damage(1, "bonnet", DamageKind.CHIP, chip_count=50, paint=PaintChoice.NO_PAINT)], SILVER)
    assert not {"strip", "touch_in", "fill"} & set(codes(plan))
    assert codes(plan).count("prime") == 1
    assert stage_of(plan, "base_clear").panels == ("bonnet",)
    assert {"needs_paint", "no_blend"} <= warned(plan)
    assert "compare_new" not in warned(plan)
    assert 7 <= hours(plan) <= 9


@pytest.mark.parametrize("seen", [{"film_um": 4000}, {"was_filled": True}])
def test_a_new_dent_over_old_filler_is_stripped_first_and_pulled_on_the_metal(seen: dict[str, object]):
    dent = make_damage(size=SizeStep.L, depth=DepthStep.FINGER, paint=PaintChoice.BLEND, **seen)
    plan = draft([dent], SILVER)
    body = [code for code in codes(plan) if code in {"strip_old", "pull", "fill"}]
    assert body == ["strip_old", "pull", "fill"]
    assert "studs do not pull through filler" in said(plan, "strip_old")
    assert "extra" in sentence(plan, "hidden_depth")
    assert "solvent test" in said(plan, "check_in")
    assert 13 <= hours(plan) <= 17


def crease(**more: object) -> DraftDamage:
    given = {"length_mm": 250, "width_mm": 40, "depth": DepthStep.FINGER, "paint": PaintChoice.BLEND}
    return make_damage(1, "left_quarter", DamageKind.CREASE, **(given | more))


def test_a_crease_over_a_line_of_a_quarter_has_its_own_hours_two_skins_epoxy_and_wax():
    plan = draft([crease(crosses=frozenset({Crossing.LINE}), clear_stop=ClearStop.PILLAR)], SILVER)
    # 60 + 180 × 0.25 and 50 + 100 × 0.25 minutes: within 1.5 to 2 h and 1 to 1.5 h
    assert (stage_of(plan, "pull").minutes, stage_of(plan, "fill").minutes) == (105, 75)
    assert uses(plan, "fill")["filler"] == 120_000
    assert "epoxy" in mixes(plan, "prime")
    assert codes(plan).index("base_clear") < codes(plan).index("wax") < codes(plan).index("refit")
    assert stage_of(plan, "wax").minutes == 12
    assert stage_of(plan, "wax").wait.not_before_minutes == 180
    assert "clear_stop" not in warned(plan)
    assert 12 <= hours(plan) <= 15


def bumper(**more: object) -> list[DraftDamage]:
    made = {"substrate": Substrate.PLASTIC} | more
    return [
        make_damage(1, "front_bumper", DamageKind.SCUFF, depth=DepthStep.FINGER, **made),
        make_damage(2, "front_bumper", DamageKind.CRACK, length_mm=40, width_mm=5, **made),
    ]


def test_a_cracked_corner_takes_two_promoters_adhesive_and_mesh_and_asks_what_is_behind():
    plan = draft(bumper(), SILVER)
    assert {"repair_promoter", "plastic_adhesive", "plastic_mesh"} <= set(uses(plan, "plastic_mend"))
    assert {"repair_promoter", "plastic_filler"} <= set(uses(plan, "fill"))
    assert "promoter" not in uses(plan, "fill")
    assert set(mixes(plan, "prime")) == {"promoter", "surfacer"}
    assert {"plastic_unknown", "radar_behind"} <= warned(plan)
    assert "floats" in said(plan, "plastic_mend")
    assert "clean twice" in said(plan, "plastic_mend")
    assert 7 <= hours(plan) <= 9


def test_a_folded_wing_is_compared_with_a_new_one_before_anyone_asks():
    fold = make_damage(
        1, "left_front_wing", DamageKind.CREASE, size=SizeStep.L, depth=DepthStep.DEEP, paint=PaintChoice.BLEND
    )
    plan = draft([fold], SILVER)
    assert plan.warnings[0].code == "compare_first"
    new = draft_replacement(own_catalogue(), SILVER, "left_front_wing", Conditions(), Choices(), is_blended=True)
    assert f"a new part {new.minutes / 60:.1f} h" in plan.warnings[0].sentence
    assert f"takes {plan.minutes / 60:.1f} h" in plan.warnings[0].sentence
    assert {"fit_part", "prime_part"} <= set(codes(new))
    assert "fill" not in codes(new)
    assert stage_of(new, "base_clear").panels == ("left_front_wing", "left_front_door")
    assert 8 <= hours(new) <= 10
    assert elapsed_minutes(new) > 0


def test_a_folded_wing_with_old_filler_is_compared_first_stripped_and_then_pulled_on_the_metal():
    fold = {"size": SizeStep.L, "depth": DepthStep.DEEP, "paint": PaintChoice.BLEND}
    plain, filled = (
        draft([make_damage(1, "left_front_wing", DamageKind.CREASE, was_filled=was_filled, **fold)], SILVER)
        for was_filled in (False, True)
    )
    assert filled.warnings[0].code == "compare_first"
    assert f"takes {filled.minutes / 60:.1f} h" in filled.warnings[0].sentence
    assert [code for code in codes(filled) if code in {"strip_old", "strip", "pull", "fill"}] == [
        *("strip_old", "pull", "fill"),
    ]
    assert "studs do not pull through filler" in said(filled, "strip_old")
    assert {"hidden_depth", "filler_deep"} <= warned(filled)
    # Stripping takes the place of the plain strip and costs more: 13.5 h become 14.5 h.
    assert 0.5 <= hours(filled) - hours(plain) <= 1.5


def test_a_scratch_to_the_metal_is_stripped_no_wider_than_it_is_and_a_blended_quarter_is_asked_about():
    plan = draft([scratch(1, "right_rear_door", Reach.METAL, paint=PaintChoice.BLEND)], SILVER)
    assert "no wider than the scratch" in said(plan, "strip")
    assert "fill" not in codes(plan)
    assert "right_quarter" in stage_of(plan, "base_clear").panels
    assert "check that the car has one" in sentence(plan, "clear_stop_blend")
    alone = draft([scratch(1, "right_rear_door", Reach.METAL)], SILVER)
    assert "clear_stop_blend" not in warned(alone)


def test_a_peeling_roof_is_sanded_once_from_its_sound_edge_and_asked_where_the_clear_stops():
    peeling = make_damage(1, "roof", DamageKind.FADED_CLEAR, size=SizeStep.L)
    plan = draft([peeling], SILVER)
    assert {"p240", "p320", "p500"} <= grits(plan, "sand_back")
    assert not {"clear_prep", "block", "strip"} & set(codes(plan))
    assert "solvent test" in said(plan, "check_in")
    assert "clear_stop" in warned(plan)
    melted = draft([make_damage(1, "roof", DamageKind.FADED_CLEAR, size=SizeStep.L, clear_stop=ClearStop.PILLAR)])
    assert "3.00 m²" in stage_of(melted, "base_clear").mixes[-1].reason
    assert 9 <= hours(melted) <= 12


def test_a_yellow_scrape_over_door_and_sill_has_a_ground_three_coats_and_stone_guard():
    scrape = {"size": SizeStep.L, "depth": DepthStep.FINGER}
    damages = [make_damage(n, p, DamageKind.SCUFF, **scrape) for n, p in ((1, "left_front_door"), (2, "left_sill"))]
    plan = draft(damages, Car(Finish.SOLID, hue="yellow"))
    assert stage_of(plan, "seal").mixes[0].code == "ground"
    assert stage_of(plan, "base_clear").mixes[0].coats == 3
    assert uses(plan, "block")["stone_guard"] == 150_000
    assert 10.5 <= hours(plan) <= 13.5


def dieback(paint: PaintChoice) -> DraftPlan:
    sunk = make_damage(1, kind=DamageKind.DIEBACK, size=SizeStep.L, paint=paint)
    return draft([sunk], Car(Finish.METALLIC, earlier=("Job 12: primer, base and clear, lot 4.",)))


def test_paint_that_sank_is_cured_flatted_and_polished_with_what_the_first_job_put_on_said_first():
    plan = dieback(PaintChoice.NO_PAINT)
    assert codes(plan) == ["check_in", "cure_through", "flat_polish", "hand_over"]
    assert stage_of(plan, "cure_through").wait.not_before_minutes == 1440
    assert "P1500, then P2000" in said(plan, "flat_polish")
    assert "Job 12" in said(plan, "check_in")
    assert 1.5 <= hours(plan) <= 3


def test_paint_that_still_shows_is_cured_and_sprayed_again_and_never_stripped():
    plan = dieback(PaintChoice.PAINT)
    asked = {"cure_through", "feather_edges", "strip", "prime", "base_clear"}
    assert [code for code in codes(plan) if code in asked] == ["cure_through", "feather_edges", "prime", "base_clear"]
    assert "only if it still shows" in sentence(plan, "polish_first")
    assert 6 <= hours(plan) <= 7.5


def test_an_aluminium_bonnet_sees_no_p80_and_epoxy_goes_under_the_surfacer():
    plan = draft([make_damage(1, "bonnet", substrate=Substrate.ALUMINIUM, depth=DepthStep.FINGER)], SILVER)
    assert "p80" not in grits(plan)
    assert "p120" in grits(plan, "pull")
    assert "epoxy" in mixes(plan, "prime")
    assert "never touched steel" in said(plan, "pull")
    assert "slowly with heat" in said(plan, "pull")
    assert 8 <= hours(plan) <= 10


def test_metal_bared_while_filler_is_shaped_over_epoxy_gets_epoxy_again_and_never_etch():
    pitted = make_damage(1, "left_sill", DamageKind.RUST, size=SizeStep.M, is_epoxy_first=True)
    plan = draft([pitted], SILVER)
    assert set(mixes(plan, "epoxy_first")) == {"epoxy"}
    assert set(mixes(plan, "prime")) == {"epoxy", "surfacer"}
    assert "where shaping the filler has bared metal" in said(plan, "prime")
    usual = draft([make_damage(1, "left_sill", DamageKind.RUST, size=SizeStep.M)], SILVER)
    assert "where shaping the filler" not in said(usual, "prime")


def hail(*panels: str) -> DraftPlan:
    given = {"dent_count": 40, "dent_class_mm": 25, "is_paint_sound": True, "paint": PaintChoice.NO_PAINT}
    return draft([make_damage(n, panel, DamageKind.SMALL_DENTS, **given) for n, panel in enumerate(panels, 1)], SILVER)


def test_hail_says_what_comes_down_and_off_before_a_dent_is_pushed():
    both = hail("bonnet", "roof")
    assert {"lower the headlining", "take off the bonnet liner"} <= set(stage_of(both, "trim_off").steps)
    assert codes(both).index("trim_off") < codes(both).index("paintless")
    assert "lower the headlining" not in said(hail("bonnet"), "trim_off")
    painted = draft([make_damage(1, "roof", DamageKind.DENT, depth=DepthStep.FINGER)], SILVER)
    assert "lower the headlining" not in said(painted, "trim_off")


def test_a_scuff_that_a_finger_feels_is_feathered_until_somebody_says_that_metal_shows():
    felt = {"kind": DamageKind.SCUFF, "size": SizeStep.L, "depth": DepthStep.FINGER}
    plan = draft([make_damage(1, **felt)], SILVER)
    assert not {"strip", "fill"} & set(codes(plan))
    assert "p80" not in grits(plan)
    assert set(mixes(plan, "prime")) == {"surfacer"}
    assert "Where metal shows" in sentence(plan, "reach_unknown")
    bare = draft([make_damage(1, **felt, reach=Reach.METAL)], SILVER)
    assert "strip" in codes(bare)
    assert "reach_unknown" not in warned(bare)
    assert "reach_unknown" not in warned(draft([make_damage(1, **felt, reach=Reach.PRIMER)], SILVER))
    assert "strip" in codes(draft([make_damage(1, **(felt | {"depth": DepthStep.DEEP}))], SILVER))


def test_a_new_part_is_scuffed_before_its_sealer_and_never_sanded_through_it_again():
    new = draft_replacement(own_catalogue(), SILVER, "left_front_wing", Conditions(), Choices(), is_blended=True)
    assert "left_front_wing" in stage_of(new, "prime_part").panels
    assert stage_of(new, "clear_prep").panels == ("left_front_door",)
    alone = draft_replacement(own_catalogue(), SILVER, "left_front_wing", Conditions(), Choices(), is_blended=False)
    assert "clear_prep" not in codes(alone)
    assert codes(alone).index("prime_part") < codes(alone).index("base_clear")
    assert 8 <= hours(new) <= 10

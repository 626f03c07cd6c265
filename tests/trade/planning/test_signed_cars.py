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
    Plastic,
    Reach,
    SizeStep,
    Substrate,
)
from shopbook.trade.planning.work import touching
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
    assert grits(plan, "feather") == {"p320", "p400"}
    assert "p80" not in grits(plan)
    assert set(mixes(plan, "prime")) == {"surfacer"}
    assert "p500" in grits(plan, "block")
    assert set(doors) <= set(stage_of(plan, "base_clear").panels)
    assert "colour" in codes(plan)
    assert 10.5 <= hours(plan) <= 14.5


def test_a_scratch_in_the_clear_is_polished_and_one_to_the_metal_is_stripped_no_wider_than_it_is():
    clear = draft([scratch(1, "left_front_door", Reach.CLEAR, paint=PaintChoice.NO_PAINT)], SILVER)
    assert codes(clear) == ["check_in", "flat_polish", "hand_over"]
    metal = draft([scratch(1, "left_front_door", Reach.METAL)], SILVER)
    assert [code for code in codes(metal) if code in {"strip", "feather", "fill"}] == ["strip"]
    assert set(mixes(metal, "prime")) == {"etch", "surfacer"}
    assert mixes(metal, "prime")["surfacer"] < mixes(draft([make_damage(size=SizeStep.L)]), "prime")["surfacer"]


@pytest.mark.parametrize(
    ("depth_um", "first"), [(20, "flat_polish"), (21, "feather"), (100, "feather"), (101, "strip")]
)
def test_a_measured_depth_says_which_coat_a_scratch_reaches(depth_um: int, first: str):
    mark = make_damage(kind=DamageKind.SCRATCH, depth_um=depth_um, paint=PaintChoice.NO_PAINT)
    found = [code for code in codes(draft([mark])) if code in {"flat_polish", "feather", "strip"}]
    assert found == [first]


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


def test_paint_of_300_um_is_pulled_as_it_is_and_one_more_is_filler():
    assert "strip_old" not in codes(draft([make_damage(film_um=300)]))
    assert "strip_old" in codes(draft([make_damage(film_um=301)]))


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


def test_a_crease_away_from_a_line_is_slower_to_pull_and_the_clear_of_a_quarter_is_asked_for():
    plan = draft([crease()], SILVER)
    dent = draft([make_damage(1, "left_quarter", length_mm=250, width_mm=40, depth=DepthStep.FINGER)], SILVER)
    assert stage_of(plan, "pull").minutes / stage_of(dent, "pull").minutes == pytest.approx(1.4, abs=0.02)
    assert "clear_stop" in warned(plan)


def test_where_the_clear_stops_sets_area_masking_and_millilitres():
    def plan(stop: ClearStop) -> DraftPlan:
        return draft([crease(clear_stop=stop, paint=PaintChoice.PAINT)], SILVER)

    joint, pillar, roof = (plan(stop) for stop in (ClearStop.JOINT, ClearStop.PILLAR, ClearStop.ROOF))
    words = {stop: stage_of(stopped, "base_clear").mixes[-1].reason for stop, stopped in
             (("joint", joint), ("pillar", pillar), ("roof", roof))}  # fmt: skip
    assert all(area in words[stop] for stop, area in (("joint", "0.90"), ("pillar", "1.40"), ("roof", "2.60")))
    for code in ("mask", "clear_prep"):
        minutes = [stage_of(stopped, code).minutes for stopped in (joint, pillar, roof)]
        assert minutes == sorted(set(minutes))
    assert "warrant" in sentence(pillar, "clear_melted")
    assert not {"clear_melted", "clear_stop"} & warned(roof)


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


@pytest.mark.parametrize("plastic", [Plastic.ABS, Plastic.PC, Plastic.PUR, Plastic.FIBREGLASS])
def test_plastics_that_hold_primer_by_themselves_get_no_promoter(plastic: Plastic):
    plan = draft(bumper(plastic=plastic), SILVER)
    assert set(mixes(plan, "prime")) == {"surfacer"}
    assert "repair_promoter" not in uses(plan, "plastic_mend") | uses(plan, "fill")
    assert "plastic_unknown" not in warned(plan)


@pytest.mark.parametrize("plastic", [Plastic.PP, Plastic.TPO, Plastic.PP_EPDM])
def test_oily_plastics_get_both_promoters(plastic: Plastic):
    plan = draft(bumper(plastic=plastic), SILVER)
    assert "promoter" in mixes(plan, "prime")
    assert "repair_promoter" in uses(plan, "fill")


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


def test_a_dent_that_leaves_three_millimetres_is_not_compared():
    assert "compare_first" not in warned(draft([make_damage(depth_um=20_000)]))
    assert "compare_first" in warned(draft([make_damage(depth_um=21_000)]))


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


@pytest.mark.parametrize("hue", ["Sun yellow", "RED", "burnt orange", "lime green", "weak blue"])
def test_a_colour_that_hides_poorly_is_known_by_its_name(hue: str):
    plan = draft([make_damage()], Car(Finish.SOLID, hue=hue))
    assert stage_of(plan, "base_clear").mixes[0].coats == 3
    assert stage_of(plan, "seal").mixes[0].code == "ground"


@pytest.mark.parametrize("hue", ["", "Blue", "strong red", "Covered grey"])
def test_any_other_colour_is_covered_in_two_coats(hue: str):
    plan = draft([make_damage()], Car(Finish.SOLID, hue=hue))
    assert stage_of(plan, "base_clear").mixes[0].coats == 2
    assert "seal" not in codes(plan)


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
    assert codes(plan) == ["check_in", "cure", "flat_polish", "hand_over"]
    assert stage_of(plan, "cure").wait.not_before_minutes == 1440
    assert "P1500, then P2000" in said(plan, "flat_polish")
    assert "Job 12" in said(plan, "check_in")
    assert 1.5 <= hours(plan) <= 3


def test_paint_that_still_shows_is_cured_and_sprayed_again_and_never_stripped():
    plan = dieback(PaintChoice.PAINT)
    assert [code for code in codes(plan) if code in {"cure", "feather", "strip", "prime", "base_clear"}] == [
        "cure", "feather", "prime", "base_clear",
    ]  # fmt: skip
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


def test_rust_is_filled_on_metal_or_over_epoxy_left_overnight():
    def plan(*, is_epoxy_first: bool) -> DraftPlan:
        return draft([make_damage(1, "left_sill", DamageKind.RUST, is_epoxy_first=is_epoxy_first)])

    usual, sealed = plan(is_epoxy_first=False), plan(is_epoxy_first=True)
    assert "epoxy" in mixes(usual, "prime")
    assert [code for code in codes(sealed) if code in {"cut_rust", "epoxy_first", "fill"}] == [
        "cut_rust", "epoxy_first", "fill",
    ]  # fmt: skip
    assert stage_of(sealed, "epoxy_first").wait.not_before_minutes == 900
    assert "P180" in said(sealed, "fill")
    assert set(mixes(sealed, "prime")) == {"surfacer"}
    assert "wax" in codes(usual)
    assert "wax" in codes(sealed)


def test_a_finish_that_is_not_known_is_asked_once_and_not_warned_of_as_metallic():
    plan = draft([make_damage(1), make_damage(2, "left_rear_door")], Car(is_finish_known=False))
    assert [w.code for w in plan.warnings if w.code in {"finish_unknown", "no_blend"}] == ["finish_unknown"]
    assert "solvent test" in said(plan, "check_in")
    assert "no_blend" in warned(draft([make_damage()], SILVER))
    assert not {"finish_unknown", "no_blend"} & warned(draft([make_damage()], Car(Finish.SOLID)))


def test_the_next_panels_are_chosen_one_by_one_a_bonnet_beside_a_wing_too():
    assert "bonnet" in touching(own_catalogue(), "left_front_wing")
    chosen = make_damage(1, "left_front_wing", paint=PaintChoice.BLEND, blend_into=frozenset({"bonnet"}))
    assert stage_of(draft([chosen], SILVER), "base_clear").panels == ("left_front_wing", "bonnet")
    usual = make_damage(1, "left_front_wing", paint=PaintChoice.BLEND)
    assert stage_of(draft([usual], SILVER), "base_clear").panels == ("left_front_wing", "left_front_door")


def test_hail_takes_the_liner_off_a_bonnet_and_the_lining_down_from_a_roof():
    def trim(panel: str) -> int:
        hail = make_damage(
            1, panel, DamageKind.SMALL_DENTS, dent_count=30, dent_class_mm=25, is_paint_sound=True,
            paint=PaintChoice.NO_PAINT,
        )  # fmt: skip
        plan = draft([hail])
        return stage_of(plan, "trim_off").minutes + stage_of(plan, "refit").minutes

    assert trim("bonnet") == 27
    assert trim("roof") == 135


def test_mid_coats_run_further_out_than_the_base_and_a_let_down_panel_is_sprayed_and_dried():
    plan = draft([make_damage(1, "right_front_wing", paint=PaintChoice.BLEND)], Car(Finish.THREE_STAGE))
    base, middle, _ = stage_of(plan, "base_clear").mixes
    # the wing's 0.6 m² and of the door's 1.0 m² 0.35 under base, 0.6 under the mid coats
    assert "0.95 m²" in base.reason
    assert "1.20 m²" in middle.reason
    colour = stage_of(plan, "colour")
    assert colour.minutes - stage_of(draft([make_damage()], SILVER), "colour").minutes == 30
    assert [wait.not_before_minutes for wait in colour.waits_inside] == [30]

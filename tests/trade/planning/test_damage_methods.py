"""How each kind of damage becomes work, where it changes and where it does not; common practice, from memory."""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.shapes import (
    Car,
    ClearStop,
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


def crease(**more: object) -> DraftDamage:
    given = {"length_mm": 250, "width_mm": 40, "depth": DepthStep.FINGER, "paint": PaintChoice.BLEND}
    return make_damage(1, "left_quarter", DamageKind.CREASE, **(given | more))


def bumper(**more: object) -> list[DraftDamage]:
    made = {"substrate": Substrate.PLASTIC} | more
    return [
        make_damage(1, "front_bumper", DamageKind.SCUFF, depth=DepthStep.FINGER, **made),
        make_damage(2, "front_bumper", DamageKind.CRACK, length_mm=40, width_mm=5, **made),
    ]


def test_a_scratch_in_the_clear_is_polished_and_one_to_the_metal_is_stripped_no_wider_than_it_is():
    clear = draft([scratch(1, "left_front_door", Reach.CLEAR, paint=PaintChoice.NO_PAINT)], SILVER)
    assert codes(clear) == ["check_in", "flat_polish", "hand_over"]
    metal = draft([scratch(1, "left_front_door", Reach.METAL)], SILVER)
    assert [code for code in codes(metal) if code in {"strip", "feather_edges", "fill"}] == ["strip"]
    assert set(mixes(metal, "prime")) == {"etch", "surfacer"}
    assert mixes(metal, "prime")["surfacer"] < mixes(draft([make_damage(size=SizeStep.L)]), "prime")["surfacer"]


@pytest.mark.parametrize(
    ("depth_um", "first"), [(20, "flat_polish"), (21, "feather_edges"), (100, "feather_edges"), (101, "strip")]
)
def test_a_measured_depth_says_which_coat_a_scratch_reaches(depth_um: int, first: str):
    mark = make_damage(kind=DamageKind.SCRATCH, depth_um=depth_um, paint=PaintChoice.NO_PAINT)
    found = [code for code in codes(draft([mark])) if code in {"flat_polish", "feather_edges", "strip"}]
    assert found == [first]


def test_paint_of_300_um_is_pulled_as_it_is_and_one_more_is_filler():
    assert "strip_old" not in codes(draft([make_damage(film_um=300)]))
    assert "strip_old" in codes(draft([make_damage(film_um=301)]))


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


def test_a_dent_that_leaves_three_millimetres_is_not_compared():
    assert "compare_first" not in warned(draft([make_damage(depth_um=20_000)]))
    assert "compare_first" in warned(draft([make_damage(depth_um=21_000)]))


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
    assert set(mixes(sealed, "prime")) == {"epoxy", "surfacer"}
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


def test_paint_that_sank_is_cured_before_a_scratch_beside_it_is_stripped():
    sunk = make_damage(2, kind=DamageKind.DIEBACK, paint=PaintChoice.PAINT)
    found = codes(draft([scratch(1, "left_front_door", Reach.METAL), sunk]))
    assert [code for code in found if code in {"strip", "cure_through"}] == ["cure_through", "strip"]

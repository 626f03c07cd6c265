"""What a painter adds for this very car; every one is common practice, from memory, unless it says otherwise."""

import pytest

from shopbook.trade.catalogue.reading import EditedRow, entry_body, overlay, own_catalogue
from shopbook.trade.coating.product_ranges import ProductRange
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Car,
    Conditions,
    DamageKind,
    DepthStep,
    DraftPlan,
    Finish,
    PaintChoice,
    SizeStep,
    Substrate,
)
from tests.makers.plans import codes, draft, make_damage, stage_of
from tests.makers.shop import FIRST_DAY

NUMBER = own_catalogue().numbers["base_is_water"]
WATER = overlay(
    own_catalogue(),
    [EditedRow("number", "base_is_water", FIRST_DAY, entry_body(NUMBER) | {"value": 1})],
    FIRST_DAY,
)


def water(car: Car, day: Conditions | None = None, **damage: object) -> DraftPlan:
    return draft_plan(WATER, car, [make_damage(**damage)], day or Conditions())


def said(plan: DraftPlan, code: str) -> str:
    stage = stage_of(plan, code)
    return "; ".join((*stage.steps, *stage.reasons))


def test_every_stage_of_a_whole_plan_says_why_it_is_there() -> None:
    rust = make_damage(2, "left_sill", DamageKind.RUST)
    plan = draft([make_damage(depth=DepthStep.FINGER), rust], Car(Finish.METALLIC))
    assert [stage.code for stage in plan.stages if not stage.reasons] == []


@pytest.mark.parametrize(("form", "pieces"), [("disc_150", 10), ("pad", 10), ("strip", 7), ("sheet", 3)])
def test_papers_are_counted_by_what_they_come_as(form: str, pieces: int) -> None:
    # A failing clear is sanded over the whole bonnet, 1.5 m²; a P240 disc lasts 0.15 m², a strip 1.6 and a sheet 3.6
    # times as long by its face: common practice, 65 % sure.
    disc = entry_body(own_catalogue().materials["disc_p240"])
    shop = overlay(
        own_catalogue(), [EditedRow("material", "disc_p240", FIRST_DAY, disc | {"comes_as": form})], FIRST_DAY
    )
    faded = make_damage(panel="bonnet", kind=DamageKind.FADED_CLEAR, size=SizeStep.L)
    stage = stage_of(draft_plan(shop, Car(Finish.SOLID), [faded], Conditions()), "sand_back")
    (asked,) = [use.amount_thousandths for use in stage.uses if use.role == "disc_p240"]
    assert asked == pieces * 1000


def test_a_bending_part_asks_for_a_flex_additive_and_metal_does_not() -> None:
    bumper = draft([make_damage(panel="rear_bumper", kind=DamageKind.SCUFF, substrate=Substrate.PLASTIC)])
    assert "flex additive" in said(bumper, "base_clear")
    assert "antistatic" in said(bumper, "mask")
    assert "flex additive" not in said(draft([make_damage()]), "base_clear")


def test_aluminium_keeps_away_from_steel_dust_and_says_that_its_own_burns() -> None:
    alloy = draft([make_damage(panel="bonnet", substrate=Substrate.ALUMINIUM, depth=DepthStep.FINGER)])
    assert "never touched steel" in said(alloy, "pull")
    assert "alloy_dust" in stage_of(alloy, "strip").cautions
    steel = draft([make_damage(panel="bonnet", depth=DepthStep.FINGER)])
    assert not any("alloy_dust" in stage.cautions for stage in steel.stages)


def test_grinding_rust_out_minds_what_burns_behind_and_seams_are_sealed_before_colour() -> None:
    plan = draft([make_damage(panel="left_sill", kind=DamageKind.RUST)])
    assert {"vapour_fire", "jacks_batteries"} <= set(stage_of(plan, "cut_rust").cautions)
    assert "seal seams" in said(plan, "block")
    assert codes(plan).index("block") < codes(plan).index("base_clear")


def test_hail_in_a_roof_says_why_its_lining_comes_down_and_what_happens_if_paint_cracks() -> None:
    hail = make_damage(
        panel="roof", kind=DamageKind.SMALL_DENTS, dent_count=45, dent_class_mm=25, is_paint_sound=True,
        paint=PaintChoice.NO_PAINT,
    )  # fmt: skip
    plan = draft([hail])
    assert "lining behind the dents comes out" in said(plan, "trim_off")
    assert "cracks" in said(plan, "paintless")


def test_matt_is_stirred_laid_dull_on_dull_and_the_customer_is_told_never_to_polish_it() -> None:
    plan = draft([make_damage(panel="boot_lid", kind=DamageKind.SCRATCH)], Car(Finish.MATT))
    assert "stir matt lacquer well" in said(plan, "base_clear")
    assert "dull all over" in said(plan, "base_clear")
    assert "never polish" in said(plan, "hand_over")


def test_a_three_stage_blend_speaks_of_its_mid_coats_and_not_of_a_drop_coat_it_does_not_lay() -> None:
    plan = draft([make_damage(panel="right_front_wing", paint=PaintChoice.BLEND)], Car(Finish.THREE_STAGE))
    assert "drop coat" not in said(plan, "base_clear")
    assert "mid coat a little further out" in said(plan, "base_clear")


def test_a_quarter_says_where_its_clear_ends() -> None:
    assert "seam" in said(draft([make_damage(panel="left_quarter")]), "base_clear")


@pytest.mark.parametrize("finish", [Finish.METALLIC, Finish.THREE_STAGE])
def test_in_a_water_shop_no_colour_is_reduced_with_solvent_and_its_gun_is_rinsed_with_its_own_cleaner(
    finish: Finish,
) -> None:
    plan = water(Car(finish, hue="weak yellow"))
    for code in ("seal", "base_clear"):
        roles = {use.role for use in stage_of(plan, code).uses}
        assert "base_reducer" not in roles
        assert {"base_water_reducer", "gun_cleaner_water"} <= roles
    assert "moving air" in said(plan, "base_clear")
    assert "stainless" in said(plan, "base_clear")
    assert "stainless" not in said(draft([make_damage()], Car(finish)), "base_clear")


def test_damp_air_holds_each_water_borne_coat_longer_and_cold_dry_air_less_than_it_would_solvent() -> None:
    def flash(day: Conditions, **given: object) -> int:
        plan = water(Car(), day) if given.get("is_water") else draft([make_damage()], Car(), day)
        laid = next(words for words in stage_of(plan, "base_clear").mixes[0].laid if "dull" in words)
        return int(laid.rsplit(", ", 1)[1].removesuffix(" min"))

    usual, damp = Conditions(20, 50), Conditions(20, 80)
    assert flash(damp, is_water=True) >= 2 * flash(usual, is_water=True)
    assert flash(damp) == flash(usual)


def test_the_cold_is_not_warned_of_where_every_products_own_sheet_allows_it() -> None:
    def cold(*roles: str, lowest: float = 5.0) -> bool:
        ranges = tuple(ProductRange(role, role, lowest) for role in roles)
        return "cold" in {
            each.code for each in draft([make_damage()], conditions=Conditions(8, ranges=ranges)).warnings
        }

    all_of_it = ("filler", "epoxy", "surfacer", "clear")
    assert cold()
    assert cold("clear")
    assert cold(*all_of_it, lowest=10.0)
    assert not cold(*all_of_it)


def test_the_seams_of_a_rusty_sill_are_sealed_once_and_before_colour():
    plan = draft([make_damage(panel="left_sill", kind=DamageKind.RUST, size=SizeStep.L)])
    sealing = [stage.code for stage in plan.stages if "seam_sealer" in {use.role for use in stage.uses}]
    assert sealing == ["block"]
    assert [stage.code for stage in plan.stages if any("seal seams" in step for step in stage.steps)] == ["block"]
    assert "seam_sealer" not in {use.role for use in stage_of(draft([make_damage()]), "block").uses}


def test_filler_on_aluminium_is_one_whose_sheet_names_it():
    def steps(substrate: Substrate) -> str:
        return " ".join(stage_of(draft([make_damage(panel="bonnet", substrate=substrate)]), "fill").steps)

    assert "names aluminium" in steps(Substrate.ALUMINIUM)
    assert "aluminium" not in steps(Substrate.STEEL)

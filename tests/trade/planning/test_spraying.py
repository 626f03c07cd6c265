"""How mixes are laid and sanded for: coats by colour, the gun from the shop's catalogue, papers, waits of the day."""

import json
from dataclasses import replace
from datetime import date

import pytest

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.catalogue.reading import EditedRow, entry_body, overlay, own_catalogue
from shopbook.trade.floor.coat_waits import Touch
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Car,
    Choices,
    Conditions,
    DepthStep,
    DraftMix,
    DraftPlan,
    Finish,
    PaintChoice,
    SizeStep,
)
from tests.makers.plans import draft, make_damage, stage_of, warned

DAY = date(2026, 11, 5)


def edited(kind: str, code: str, **values: object) -> Catalogue:
    """The shipped catalogue with one entry as the shop would have it."""
    own = own_catalogue()
    tables = {"number": own.numbers, "gun": own.guns, "stage": own.stages}
    body = entry_body(tables[kind][code]) | values
    return overlay(own, [EditedRow(kind, code, DAY, json.loads(json.dumps(body)))], DAY)


def drafted(catalogue: Catalogue, conditions: Conditions | None = None, **damage: object) -> DraftPlan:
    return draft_plan(catalogue, Car(Finish.SOLID), [make_damage(**damage)], conditions or Conditions())


def mix_of(plan: DraftPlan, code: str) -> DraftMix:
    (found,) = [mix for stage in plan.stages for mix in stage.mixes if mix.code == code]
    return found


def test_flake_gets_a_drop_coat_and_solid_colour_none() -> None:
    assert any(
        "drop coat" in words for words in mix_of(draft([make_damage()], Car(Finish.METALLIC)), "base_solvent").laid
    )
    assert not any("drop" in words for words in mix_of(draft([make_damage()]), "base_solvent").laid)


def test_a_blend_of_solid_colour_loses_its_edge_in_a_light_last_coat() -> None:
    plan = draft([make_damage(paint=PaintChoice.BLEND)])
    assert mix_of(plan, "base_solvent").laid[-1].startswith("light and out past the last edge")


def test_suspected_silicone_puts_a_thin_coat_first_on_surfacer_base_and_clear() -> None:
    plan = draft([make_damage()], Car(Finish.SOLID, is_silicone_suspected=True))
    for code in ("surfacer", "base_solvent", "clear_medium"):
        assert mix_of(plan, code).laid[0].startswith("dust it on nearly dry"), code
    assert any("dust it on nearly dry" in step for step in stage_of(plan, "prime").steps)


def test_a_coat_more_by_choice_is_a_plain_one() -> None:
    plan = draft([make_damage()], choices=Choices(base_coats=4))
    assert mix_of(plan, "base_solvent").laid == ("4 × colour, leave until dull, 8 min",)


@pytest.mark.parametrize(
    ("finish", "paint", "reasons"),
    [
        (Finish.SOLID, PaintChoice.PAINT, []),
        (Finish.METALLIC, PaintChoice.PAINT, []),
        (Finish.SOLID, PaintChoice.BLEND, ["colour fades out"]),
        (Finish.METALLIC, PaintChoice.BLEND, ["colour fades out", "flake must lie the same"]),
        (Finish.THREE_STAGE, PaintChoice.BLEND, ["colour fades out", "the colour edge is lost"]),
    ],
)
def test_a_blend_says_why_and_what_flake_asks_for_in_it(finish: Finish, paint: PaintChoice, reasons: list[str]) -> None:
    told = stage_of(draft([make_damage(paint=paint)], Car(finish)), "base_clear").reasons
    openings = ("colour fades out", "flake must lie the same", "the colour edge is lost")
    assert [opening for opening in openings if any(opening in reason for reason in told)] == reasons


def test_two_coats_alike_are_said_once_with_their_number() -> None:
    (words,) = mix_of(draft([make_damage()]), "base_solvent").laid
    assert words.startswith("2 × colour, leave until dull")


def test_flashes_between_coats_are_twice_as_long_ten_degrees_colder() -> None:
    warm, cold = (mix_of(draft([make_damage()], conditions=Conditions(t)), "base_solvent").laid[0] for t in (22, 12))
    assert (warm[-5:], cold[-6:]) == ("7 min", "14 min")


def test_the_gun_is_set_up_as_the_shop_has_written_it() -> None:
    catalogue = edited("gun", "clear_medium", tip_mm=[1.2, 1.25])
    (words,) = mix_of(drafted(catalogue), "clear_medium").gun
    assert words.startswith("Gun: tip 1.2 to 1.25 mm, 1.4 to 2.2 bar (20 to 32 psi) at the inlet")


def test_a_drop_coat_has_a_set_up_of_its_own() -> None:
    guns = mix_of(draft([make_damage()], Car(Finish.METALLIC)), "base_solvent").gun
    assert [words.split(":")[0] for words in guns] == ["Gun", "Drop coat"]
    assert "20 to 30 cm" in guns[1]


def test_depth_of_filler_is_warned_of_at_the_shops_own_limits() -> None:
    assert "filler_deep" not in warned(drafted(own_catalogue(), depth=DepthStep.FINGER))
    assert "filler_deep" in warned(drafted(edited("number", "left_warn_mm", value=1.2), depth=DepthStep.FINGER))
    lower = overlay(
        edited("number", "left_warn_mm", value=1.0),
        [
            EditedRow(
                "number", "left_most_mm", DAY, entry_body(own_catalogue().numbers["left_most_mm"]) | {"value": 1.2}
            )
        ],
        DAY,
    )
    assert "filler_too_deep" in warned(drafted(lower, depth=DepthStep.FINGER))


def test_clear_is_counted_from_its_last_coat_and_asked_by_what_is_done_to_it() -> None:
    # common practice, 80 % sure: unmask after 30 to 60 min, refit after 6 to 8 h, polish after 16 h
    session = stage_of(draft([make_damage()]), "base_clear")
    waits = {wait.opens: wait.not_before_minutes for wait in session.waits if not wait.is_inside}
    assert waits == {Touch.HANDLE: 45, Touch.FIT: 420, Touch.SAND: 960}
    assert stage_of(draft([make_damage()]), "unmask").waits == ()


def test_water_borne_base_waits_for_dry_air_more_than_for_warm_air() -> None:
    catalogue = edited("number", "base_is_water", value=1)
    dry_cold, damp_warm = (
        stage_of(drafted(catalogue, Conditions(temperature, humidity)), "base_clear").waits_inside[0].not_before_minutes
        for temperature, humidity in ((15, 40), (22, 85))
    )
    assert dry_cold < damp_warm
    assert mix_of(drafted(catalogue), "base_water").total_ml > 0


def test_a_step_that_is_too_long_is_warned_of_with_the_grade_that_belongs_between() -> None:
    plan = drafted(edited("stage", "fill", grits=[80, 240]))
    (said,) = [warning.sentence for warning in plan.warnings if warning.code == "long_step"]
    assert "P80 to P240 is too big a step" in said
    assert said.endswith("Go P80, P180, P240.")


def test_paper_is_counted_by_the_time_it_is_on_the_panel_too() -> None:
    slow = edited("stage", "block", panel_minutes=200)
    uses = {plan: stage_of(plan, "block").uses for plan in (drafted(own_catalogue()), drafted(slow))}
    few, many = (next(u.amount_thousandths for u in found if u.role == "disc_p500") for found in uses.values())
    assert few == 1000
    assert many >= 2000


def test_paper_is_shared_between_panels_by_the_area_sanded_on_each() -> None:
    """Two doors dented alike share a disc in halves; of 0.25 m² a large dent has four fifths, a small one one."""

    def shares(*sizes: SizeStep) -> list[int]:
        doors = zip((1, 2), ("left_front_door", "right_front_door"), sizes, strict=True)
        block = stage_of(draft([make_damage(number, door, size=size) for number, door, size in doors]), "block")
        return [amount for use in block.uses if use.role == "disc_p320" for _, amount in use.shares]

    assert shares(SizeStep.M, SizeStep.M) == [500, 500]
    assert shares(SizeStep.S, SizeStep.L) == [209, 791]


def test_every_stage_says_how_its_paper_is_used() -> None:
    filler = next(use for use in stage_of(draft([make_damage()]), "fill").uses if use.role == "disc_p180")
    assert "2.5 times finer than P80" in filler.reason
    assert "dry, hard block" in filler.reason


def test_a_lamp_dries_water_borne_base_no_faster_than_the_air_allows() -> None:
    lamp = replace(Conditions(20, 60), has_lamp=True)
    base = stage_of(drafted(edited("number", "base_is_water", value=1), lamp), "base_clear")
    assert not base.waits_inside[0].is_under_lamp
    assert base.skill is Skill.PAINT


def test_surfacer_for_build_takes_half_the_reducer_and_all_of_the_hardener() -> None:
    """Common practice, 80 % sure: a primer of 4:1:1 by the tin is reduced half as much where build is wanted."""
    plain, build = (
        draft_plan(own_catalogue(), Car(Finish.SOLID), [make_damage()], Conditions(), Choices(is_surfacer_for_build=on))
        for on in (False, True)
    )
    assert mix_of(plain, "surfacer").ratio == "4 : 1 : 1"
    parts = dict(mix_of(build, "surfacer").parts_thousandths)
    assert abs(parts["surfacer"] - 8 * parts["surfacer_reducer"]) <= 8
    assert abs(parts["surfacer"] - 4 * parts["surfacer_activator"]) <= 4


def test_a_spot_too_small_to_measure_is_mixed_up_to_the_least_and_says_so() -> None:
    """4:1:½ by steps of 10 ml is 110 ml at the least; by hand."""
    choices = Choices(is_surfacer_for_build=True)
    small = make_damage(size=SizeStep.S)
    mix = mix_of(draft_plan(own_catalogue(), Car(Finish.SOLID), [small], Conditions(), choices), "surfacer")
    assert mix.total_ml == 110
    assert "less than 110 ml cannot be measured accurately" in mix.reason

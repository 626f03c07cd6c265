"""Rework is drafted as the plan itself would be: its mixes by the panel's area, its papers, its waits, its hours."""

import pytest

from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.floor.coat_waits import Touch
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.rework import draft_rework
from shopbook.trade.planning.shapes import Car, Choices, Conditions, DraftMix, DraftStage, Finish, PaintChoice
from shopbook.trade.trouble.kinds import BASE_AGAIN, CLEAR_AGAIN, COLOUR_AGAIN, FROM_FILLER, POLISH_OUT
from tests.makers.plans import make_damage

DOOR, WING = "right_front_door", "right_front_wing"


def rework(*codes: str, panels: tuple[str, ...] = (DOOR,), finish: Finish = Finish.SOLID, **damage: object):
    hurt = [make_damage(panel=DOOR, **damage)]
    return draft_rework(own_catalogue(), Car(finish), hurt, Conditions(), Choices(), panels=panels, codes=codes)


def mix_in(stages: tuple[DraftStage, ...], code: str) -> DraftMix:
    (found,) = [mix for stage in stages for mix in stage.mixes if mix.code == code]
    return found


def test_colour_and_clear_once_more_are_mixed_as_they_were_the_first_time() -> None:
    plan = draft_plan(own_catalogue(), Car(Finish.SOLID), [make_damage(panel=DOOR)], Conditions())
    again = rework(*COLOUR_AGAIN)
    assert [stage.code for stage in again] == list(COLOUR_AGAIN)
    for code in ("base_solvent", "clear_medium"):
        assert mix_in(again, code) == mix_in(plan.stages, code)


def test_clear_once_more_is_one_coat_of_half_the_film_over_the_whole_panel() -> None:
    (stage,) = [each for each in rework(*CLEAR_AGAIN) if each.code == "scuff_clear"]
    (mix,) = stage.mixes
    catalogue = own_catalogue()
    kind, panel = catalogue.mixes["clear_medium"], catalogue.panels[DOOR]
    # 1 ml over 1 m² is 1 µm wet: half the dry film through solids and transfer, then cup and gun, a step rounded up.
    film = kind.dry_um / kind.coats
    least = panel.area_m2 * film / (kind.solids_permille / 1000 * catalogue.numbers["transfer_single"].value)
    assert (mix.coats, mix.panels) == (1, (DOOR,))
    assert least + kind.loss_ml <= mix.total_ml <= least + kind.loss_ml + 2 * kind.step_ml
    assert {use.role for use in stage.uses if use.mix == mix.code} >= {"clear", "clear_activator"}


def test_wet_clear_is_not_unmasked_at_once_nor_polished_the_same_day() -> None:
    again = {stage.code: stage for stage in rework(*CLEAR_AGAIN)}
    waits = {wait.opens: wait.not_before_minutes for wait in again["scuff_clear"].waits}
    assert waits[Touch.HANDLE] >= 30
    assert waits[Touch.SAND] >= 8 * 60


def test_base_once_more_is_one_coat_and_less_than_the_session_took() -> None:
    plan = draft_plan(own_catalogue(), Car(Finish.SOLID), [make_damage(panel=DOOR)], Conditions())
    stage, clear = rework(*BASE_AGAIN)
    assert [coat for _, coat in clear.lays] == ["clear"]
    (mix,) = stage.mixes
    assert mix.coats == 1
    assert mix.total_ml < mix_in(plan.stages, "base_solvent").total_ml


def test_what_goes_back_to_the_filler_is_filled_primed_on_bare_metal_and_left_overnight() -> None:
    again = {stage.code: stage for stage in rework(*FROM_FILLER)}
    assert {use.role for use in again["fill"].uses} >= {"filler", "filler_hardener"}
    assert [mix.code for mix in again["prime"].mixes] == ["epoxy", "surfacer"]
    wait = again["prime"].wait
    assert wait is not None
    assert wait.not_before_minutes >= 12 * 60
    assert [wait.kind for wait in again["prime"].waits_inside]


def test_stripped_plastic_gets_promoter_under_its_surfacer() -> None:
    again = draft_rework(
        own_catalogue(), Car(Finish.SOLID), [], Conditions(), Choices(), panels=("front_bumper",), codes=FROM_FILLER
    )
    assert own_catalogue().panels["front_bumper"].substrate is Substrate.PLASTIC
    (prime,) = [stage for stage in again if stage.code == "prime"]
    assert [mix.code for mix in prime.mixes] == ["promoter", "surfacer"]


def test_a_blended_neighbour_takes_colour_in_part_and_clear_whole() -> None:
    blended = rework(*COLOUR_AGAIN, panels=(DOOR, WING), finish=Finish.METALLIC, paint=PaintChoice.BLEND)
    alone = rework(*COLOUR_AGAIN, finish=Finish.METALLIC, paint=PaintChoice.BLEND)
    both = draft_rework(
        own_catalogue(), Car(Finish.METALLIC), [], Conditions(), Choices(), panels=(DOOR, WING), codes=COLOUR_AGAIN
    )
    base = [mix_in(each, "base_solvent").total_ml for each in (alone, blended, both)]
    assert base[0] < base[1] < base[2]
    assert mix_in(blended, "clear_medium").total_ml == mix_in(both, "clear_medium").total_ml


def test_one_panel_takes_less_than_two() -> None:
    one, two = rework(*CLEAR_AGAIN), rework(*CLEAR_AGAIN, panels=(DOOR, WING))
    assert mix_in(one, "clear_medium").total_ml < mix_in(two, "clear_medium").total_ml
    assert sum(stage.minutes for stage in one) < sum(stage.minutes for stage in two)


@pytest.mark.parametrize("panel", [DOOR, "left_sill"])
def test_polishing_out_takes_time_and_papers_wherever_it_is(panel: str) -> None:
    (stage,) = rework(*POLISH_OUT, panels=(panel,))
    assert stage.minutes > 0
    assert [use.role for use in stage.uses if use.role.startswith("disc_p")] == ["disc_p1500", "disc_p3000"]


def test_without_a_panel_named_it_goes_over_all_that_the_plan_finishes() -> None:
    assert mix_in(rework(*CLEAR_AGAIN, panels=()), "clear_medium") == mix_in(rework(*CLEAR_AGAIN), "clear_medium")


@pytest.mark.parametrize("run", [CLEAR_AGAIN, COLOUR_AGAIN, FROM_FILLER, BASE_AGAIN, POLISH_OUT])
def test_on_a_car_without_any_paint_work_only_the_hours_are_drafted(run: tuple[str, ...]) -> None:
    stages = draft_rework(own_catalogue(), Car(), [], Conditions(), Choices(), panels=(), codes=run)
    assert [stage.code for stage in stages] == list(run)
    assert not any(stage.mixes for stage in stages)

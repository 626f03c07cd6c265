"""Prices at the kerb, whether they carry their plan, and two ways beside each other."""

import math
from datetime import date

import pytest

from shopbook.trade.catalogue.reading import EditedRow, entry_body, overlay, own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.comparing import Change, Rates, elapsed_minutes, repair_or_replace, what_if
from shopbook.trade.planning.draft_materials import PaintRates
from shopbook.trade.planning.kerb import KerbAnswer, cover, kerb_damages, kerb_price
from shopbook.trade.planning.shapes import (
    Car,
    Conditions,
    DamageKind,
    DepthStep,
    Finish,
    PaintChoice,
    SizeStep,
    Skill,
    Substrate,
)
from shopbook.trade.pricing import MaterialsRates
from tests.makers.plans import codes, draft, make_damage

CATALOGUE = own_catalogue()
HOUR = 6500
PAINT = PaintRates(MaterialsRates(refinish_hour_minor=4200), "private", 6000, 6000)
RATES = Rates({Skill.BODY: 6000, Skill.PAINT: 6000, Skill.DETAIL: 4500}, PAINT)


def test_two_answers_become_two_damages_of_the_panels_usual_make():
    answers = [KerbAnswer("right_front_door"), KerbAnswer("rear_bumper", SizeStep.S)]
    first, second = kerb_damages(answers, CATALOGUE)
    assert (first.number, first.kind, first.substrate) == (1, DamageKind.DENT, Substrate.STEEL)
    assert (second.number, second.kind, second.substrate) == (2, DamageKind.SCUFF, Substrate.PLASTIC)


def test_no_paint_at_the_kerb_means_the_dent_is_pushed():
    damages = kerb_damages([KerbAnswer("right_front_door", SizeStep.S, PaintChoice.NO_PAINT)], CATALOGUE)
    assert codes(draft(damages)) == ["check_in", "paintless", "hand_over"]


def test_a_dent_and_small_dents_pushed_on_one_panel_take_the_minutes_of_both():
    """18 minutes for a small dent of a door, 43 for one of middling size, 112 for four of up to 25 mm: 130 and 155."""

    def paintless(*answers: KerbAnswer) -> int:
        plan = draft(kerb_damages(answers, CATALOGUE))
        return sum(stage.minutes for stage in plan.stages if stage.code == "paintless")

    few = KerbAnswer("right_front_door", paint=PaintChoice.NO_PAINT, dent_count=4, dent_class_mm=25)
    small, middling = (KerbAnswer("right_front_door", size, PaintChoice.NO_PAINT) for size in (SizeStep.S, SizeStep.M))
    assert (paintless(small), paintless(middling), paintless(few)) == (18, 43, 112)
    assert (paintless(small, few), paintless(middling, few)) == (130, 155)


def test_a_price_the_shop_typed_wins_over_the_hours_and_holds_only_for_its_box():
    body = entry_body(CATALOGUE.prices["right_front_door"]) | {"set_minor": {"M.paint": 52000}}
    own = overlay(CATALOGUE, [EditedRow("price", "right_front_door", date(2026, 1, 1), body)], date(2026, 1, 1))
    assert kerb_price(own, KerbAnswer("right_front_door"), HOUR).price_minor == 52000
    large = KerbAnswer("right_front_door", SizeStep.L)
    assert kerb_price(own, large, HOUR) == kerb_price(CATALOGUE, large, HOUR)


def test_small_dents_are_priced_by_band_and_an_unlisted_count_in_proportion():
    def price(count: int) -> int:
        return kerb_price(CATALOGUE, KerbAnswer("bonnet", dent_count=count, dent_class_mm=10), HOUR).price_minor

    assert price(6) == price(10) < price(11) <= price(20)
    assert price(300) == pytest.approx(2 * price(150), rel=0.01)


def test_small_dents_whose_size_nobody_said_are_priced_as_dents_of_up_to_25_mm():
    told = kerb_price(CATALOGUE, KerbAnswer("bonnet", dent_count=6), HOUR)
    assert told == kerb_price(CATALOGUE, KerbAnswer("bonnet", dent_count=6, dent_class_mm=25), HOUR)
    assert told.reason.startswith("6 dents of up to 25 mm; ")
    assert told.price_minor * 60 == pytest.approx(told.minutes * HOUR, abs=60)
    (damage,) = kerb_damages([KerbAnswer("bonnet", dent_count=6)], CATALOGUE)
    assert damage.dent_class_mm == 25


@pytest.mark.parametrize("count", [1, 20, 100, 150])
def test_small_dents_take_a_working_day_for_each_eight_hours_begun_and_are_a_guess_of_ours(count: int):
    told = kerb_price(CATALOGUE, KerbAnswer("bonnet", dent_count=count), HOUR)
    assert told.days == max(1, math.ceil(told.minutes / 480))
    assert (told.days > 1) == (told.minutes > 480)
    assert (told.is_own, told.whose) == (False, "our guess")


def test_a_price_below_its_plan_does_not_cover_it():
    # 680.00 less 140.00 over 7.6 hours is 71.05 an hour
    told = cover(68000, 14000, 456, 5800)
    assert (told.brings_minor, told.is_covered) == (7105, True)
    assert not cover(30000, 14000, 456, 5800).is_covered


def test_an_unknown_panel_at_the_kerb_is_a_sentence():
    with pytest.raises(RuleBroken, match="no panel called"):
        kerb_price(CATALOGUE, KerbAnswer("spoiler"), HOUR)


def test_repair_and_replace_are_compared_whole_with_whole():
    damage = make_damage(size=SizeStep.L, depth=DepthStep.DEEP)
    told = repair_or_replace(CATALOGUE, Car(Finish.SOLID), [damage], Conditions(), RATES, 20000)
    assert told.repair.part_minor == 0
    assert told.replace.part_minor == 20000
    assert any("new part" in reason for reason in told.replace.reasons)
    assert not told.is_hint
    cheaper = min((told.repair, told.replace), key=lambda whole: whole.total_minor)
    assert f"To {cheaper.name} costs" in told.sentence


def test_the_labour_of_either_way_is_its_minutes_at_the_rate_of_each_skill():
    """Body and paint at 60.00 an hour, detail at 45.00: 100 and 75 minor units a minute."""
    damages = [make_damage(size=SizeStep.L, depth=DepthStep.DEEP)]
    told = repair_or_replace(CATALOGUE, Car(Finish.SOLID), damages, Conditions(), RATES, 20000)
    by_skill = draft(damages, Car(Finish.SOLID)).minutes_by_skill
    detail = by_skill.get(Skill.DETAIL, 0)
    assert told.repair.minutes == sum(by_skill.values())
    assert told.repair.labour_minor == 100 * (told.repair.minutes - detail) + 75 * detail


def test_a_dearer_part_turns_the_verdict_to_repair():
    damage = make_damage(size=SizeStep.L, depth=DepthStep.DEEP)
    told = repair_or_replace(CATALOGUE, Car(Finish.SOLID), [damage], Conditions(), RATES, 150000)
    assert told.sentence.startswith("To repair costs")


def test_replacing_a_welded_panel_is_a_hint_only():
    damage = make_damage(panel="left_quarter", size=SizeStep.L)
    told = repair_or_replace(CATALOGUE, Car(Finish.SOLID), [damage], Conditions(), RATES, 30000)
    assert told.is_hint
    assert "qualified" in told.sentence


def test_repair_or_replace_of_two_panels_at_once_is_refused():
    damages = [make_damage(1), make_damage(2, "roof")]
    with pytest.raises(RuleBroken, match="one panel at a time"):
        repair_or_replace(CATALOGUE, Car(), damages, Conditions(), RATES, 0)


def test_a_lamp_ends_the_job_sooner_without_changing_the_hours():
    told = what_if(CATALOGUE, Car(Finish.SOLID), [make_damage()], Conditions(), Change(has_lamp=True))
    assert told.minutes == 0
    # Surfacer 20 instead of 180 minutes, clear 90 instead of 960 to its polish.
    assert told.finish_minutes == -(160 + 870)


def test_another_coat_of_clear_takes_more_clear_and_more_time():
    told = what_if(CATALOGUE, Car(Finish.SOLID), [make_damage()], Conditions(), Change(clear_coats=3))
    assert told.minutes > 0
    assert told.ml_by_mix["clear_medium"] > 0
    assert told.ml_by_mix["base_solvent"] == 0


def test_a_blend_adds_panels_and_takes_away_its_warning():
    told = what_if(CATALOGUE, Car(Finish.METALLIC), [make_damage()], Conditions(), Change(is_blended=True))
    assert told.minutes > 0
    assert any(sentence.startswith("no longer: Metallic without a blend") for sentence in told.sentences)


def test_a_colder_shop_finishes_later_and_says_to_heat():
    told = what_if(CATALOGUE, Car(Finish.SOLID), [make_damage()], Conditions(), Change(temperature_c=9))
    assert told.finish_minutes > 0
    assert any("heat" in sentence for sentence in told.sentences)


def test_elapsed_time_counts_waits_and_is_never_less_than_the_busiest_skill():
    plan = draft([make_damage()])
    # 3 h of surfacer, 16 h of clear in which the tape comes off; the flashes are no man-hours.
    tape = next(stage.minutes for stage in plan.stages if stage.code == "unmask")
    assert elapsed_minutes(plan) == plan.minutes - tape + 180 + 960 + 40

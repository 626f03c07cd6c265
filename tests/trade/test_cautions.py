"""Cautions by stage: present where they belong, in the catalogue's words, added to and never taken out."""

import re

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.cautions import FIRST_SENTENCE, OWN, Caution, caution_text, in_order, refuse_lost
from shopbook.trade.errors import RuleBroken

STAGES = own_catalogue().stages
TWO_PACK = ("prime", "seal", "base_clear", "prime_part", "scuff_clear")
"""Stages that spray something with an isocyanate hardener."""


def test_every_caution_has_its_words_in_the_catalogue_and_the_catalogue_has_no_other() -> None:
    assert set(own_catalogue().cautions) == set(Caution)


@pytest.mark.parametrize("caution", list(Caution))
def test_no_text_says_that_anything_is_safe(caution: Caution) -> None:
    assert not re.search(r"\b(safe|safely|harmless|no risk|no danger)\b", caution_text(caution).text, re.IGNORECASE)


def test_the_data_sheet_local_codes_and_licensed_practice_come_first() -> None:
    for word in ("safety data sheet", "local rules", "licensed practice"):
        assert word in FIRST_SENTENCE


@pytest.mark.parametrize("stage", TWO_PACK)
def test_two_pack_spraying_asks_for_supplied_air_and_speaks_of_going_back_in(stage: str) -> None:
    """OSHA interpretation of 1996-06-13: no warning smell, so supplied air. HSE on body shops (myths 4 and 5, 2019 and
    2023): a spray room may take half an hour or more to clear, a booth one to five minutes."""
    told = next(each for each in in_order(STAGES[stage].cautions) if each.caution == "isocyanates")
    for word in ("no warning smell", "Supplied air", "nobody else in the room", "half an hour"):
        assert word in told.text


@pytest.mark.parametrize("stage", [code for code, kind in STAGES.items() if kind.grits])
def test_whatever_is_sanded_is_minded_for_its_dust(stage: str) -> None:
    assert "dust" in STAGES[stage].cautions or stage == "prime"


def test_airbags_high_voltage_and_driver_aids_stop_and_stand_first() -> None:
    told = in_order(Caution, ["No radio in the mixing room."])
    assert [each.is_stop for each in told[:3]] == [True, True, True]
    assert all(each.text.startswith("Stop") for each in told if each.is_stop)
    assert not any(each.is_stop for each in told[3:])


def test_the_shops_own_line_stands_once_and_whole_behind_what_stops_the_work() -> None:
    told = in_order(["dust", "airbags", "dust"], ["Fan on first.", "Fan on first.", ""])
    assert [each.caution for each in told] == ["airbags", OWN, "dust"]
    assert [each.reminder for each in told] == ["Airbags and belts", "Fan on first.", "Dust"]


def test_a_stage_may_gain_a_caution_but_not_lose_one_of_ours() -> None:
    fill = STAGES["fill"].cautions
    refuse_lost("fill", [*fill, "noise"])
    with pytest.raises(RuleBroken, match=r"Dust.* stays on this stage"):
        refuse_lost("fill", [each for each in fill if each != "dust"])

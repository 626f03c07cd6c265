"""Cautions by stage: present where they belong, and never a promise."""

import re

import pytest

from shopbook.trade.cautions import BY_FAMILY, FIRST_SENTENCE, TEXTS, Caution, Family, list_cautions


def test_every_caution_has_a_text_and_every_family_a_list() -> None:
    assert set(TEXTS) == set(Caution)
    assert set(BY_FAMILY) == set(Family)


@pytest.mark.parametrize("caution", list(Caution))
def test_no_text_says_that_anything_is_safe(caution: Caution) -> None:
    assert not re.search(r"\b(safe|safely|harmless|no risk|no danger)\b", TEXTS[caution].text, re.IGNORECASE)


def test_the_data_sheet_local_codes_and_licensed_practice_come_first() -> None:
    for word in ("safety data sheet", "local codes", "licensed practice"):
        assert word in FIRST_SENTENCE


def test_two_pack_spraying_asks_for_supplied_air_and_speaks_of_going_back_in() -> None:
    """OSHA interpretation of 1996-06-13: isocyanates have no warning smell, so supplied air is asked for."""
    told = next(each for each in list_cautions(Family.SPRAY_TWO_PACK) if each.caution is Caution.ISOCYANATES)
    for word in ("no warning smell", "Supplied air", "nobody else in the room"):
        assert word in told.text


def test_airbags_high_voltage_and_driver_aids_stop_and_stand_first() -> None:
    told = list_cautions(Family.METAL, is_electric=True, near_airbag=True, near_sensor=True, is_lifted=True)
    assert [each.is_stop for each in told[:3]] == [True, True, True]
    assert all(each.text.startswith("Stop") for each in told if each.is_stop)
    assert not any(each.is_stop for each in told[3:])


def test_a_bake_on_an_electric_car_is_a_matter_of_high_voltage() -> None:
    assert Caution.HIGH_VOLTAGE in {each.caution for each in list_cautions(Family.WAIT, is_electric=True)}


@pytest.mark.parametrize("family", list(Family))
def test_no_caution_stands_twice(family: Family) -> None:
    told = [each.caution for each in list_cautions(family, is_lifted=True, near_sensor=True, near_airbag=True)]
    assert len(told) == len(set(told))
